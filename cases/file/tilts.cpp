#include "cases/file/tilts.hpp"

#include "cases/file/conditions.hpp"
#include "cases/input/number_text.hpp"
#include "cases/input/toml_text.hpp"
#include "solver/condition.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace tiltfin {
namespace {

constexpr double whole_turn = 360.0;
constexpr int most_angles = 360;    // as the key says
constexpr double same_angle = 1e-6; // degrees: what a name of an orientation tells apart

std::string tilts_words() {
  return find_key(conditions_keys(), "tilts")->allowed;
}

[[noreturn]] void refuse_tilts(const std::string& place, const std::string& found) {
  throw InputError(fmt::format("{}: found {}, allowed {}", place, found, tilts_words()));
}

std::string quoted(const std::string& text) {
  return '"' + text + '"';
}

std::string without_blanks(const std::string& text) {
  const std::size_t first = text.find_first_not_of(" \t");
  return first == std::string::npos ? ""
                                    : text.substr(first, text.find_last_not_of(" \t") - first + 1);
}

/// Parts between the marks, without blanks round them.
std::vector<std::string> parts_of(const std::string& text, char mark) {
  std::vector<std::string> parts;
  std::size_t begin = 0;
  for (std::size_t end = text.find(mark); end != std::string::npos; end = text.find(mark, begin)) {
    parts.push_back(without_blanks(text.substr(begin, end - begin)));
    begin = end + 1;
  }
  parts.push_back(without_blanks(text.substr(begin)));
  return parts;
}

/// An orientation by name among the angles: what can be asked for in its place.
void refuse_name(const std::string& word, const std::string& place) {
  for (const Orientation& named : named_orientations()) {
    if (named.name == word) {
      const std::string more = is_in_section(named) ? "" : "; " + out_of_section(named);
      throw InputError(fmt::format("{}: found {}, allowed {}{}", place, word, tilts_words(), more));
    }
  }
}

std::vector<double> numbers_of(const std::string& text, const std::vector<std::string>& words,
                               const std::string& place) {
  std::vector<double> values;
  for (const std::string& word : words) {
    refuse_name(word, place);
    const std::optional<double> value = number_of_text(word);
    if (!value) {
      refuse_tilts(place, quoted(text));
    }
    values.push_back(*value);
  }
  return values;
}

std::vector<double> angles_in_range(double from, double step, double to, const std::string& text,
                                    const std::string& place) {
  if (!(step > 0.0)) {
    refuse_tilts(place, fmt::format("{}, a step of {:g}", quoted(text), step));
  }
  if (!(to > from)) {
    refuse_tilts(place, fmt::format("{}, which ends before it goes on", quoted(text)));
  }
  const double n_steps = std::floor((to - from) / step + same_angle);
  if (n_steps > most_angles) {
    refuse_tilts(place, fmt::format("{}, which is {:.0f} angles", quoted(text), n_steps + 1.0));
  }
  std::vector<double> angles;
  for (int k = 0; k <= static_cast<int>(n_steps); ++k) {
    angles.push_back(from + k * step);
  }
  return angles;
}

/// Sorted, within bounds, each once; the end of a whole turn is its beginning.
Tilts checked(std::vector<double> angles, const std::string& text, const std::string& place) {
  std::ranges::sort(angles);
  for (const double angle : angles) {
    if (std::abs(angle) > whole_turn) {
      refuse_tilts(place, fmt::format("{}, with {:g} degrees", text, angle));
    }
  }
  const auto twice =
      std::ranges::adjacent_find(angles, [](double a, double b) { return b - a < same_angle; });
  if (twice != angles.end()) {
    refuse_tilts(place, fmt::format("{}, with {:g} degrees twice", text, *twice));
  }
  const double span = angles.empty() ? 0.0 : angles.back() - angles.front();
  if (span > whole_turn + same_angle) {
    refuse_tilts(place, text + ", more than a whole turn");
  }
  Tilts tilts{angles, span > whole_turn - same_angle, place};
  if (tilts.is_closed) {
    tilts.angles_deg.pop_back();
  }
  const int n = static_cast<int>(tilts.angles_deg.size());
  if (n < 2 || n > most_angles) {
    refuse_tilts(place, fmt::format("{}, which is {} angle{}", text, n, n == 1 ? "" : "s"));
  }
  return tilts;
}

} // namespace

Tilts tilts_in(const std::string& text, const std::string& place) {
  if (text.find(':') == std::string::npos) {
    return checked(numbers_of(text, parts_of(text, ','), place), quoted(text), place);
  }
  const std::vector<double> range = numbers_of(text, parts_of(text, ':'), place);
  if (range.size() != 3) {
    refuse_tilts(place, quoted(text));
  }
  return checked(angles_in_range(range[0], range[1], range[2], text, place), quoted(text), place);
}

Tilts read_tilts(const TomlTable& conditions) {
  const TomlValue* value = find(conditions, "tilts");
  if (value == nullptr) {
    note_without(conditions, "tilts");
    return {};
  }
  const std::string place = place_of(conditions, "tilts");
  if (value->kind == TomlValue::Kind::text) {
    return tilts_in(value->text, place);
  }
  if (value->kind != TomlValue::Kind::list) {
    refuse_tilts(place, show(*value));
  }
  std::vector<double> angles;
  for (const TomlValue& item : value->items) {
    if (item.kind == TomlValue::Kind::text) {
      refuse_name(item.text, place);
    }
    if (item.kind != TomlValue::Kind::number) {
      refuse_tilts(place, show(item));
    }
    angles.push_back(item.number);
  }
  return checked(angles, show(*value), place);
}

void check_surfaces_turn(const TomlValue& root, const Tilts& tilts) {
  const TomlValue* room = entry(root, "room");
  const TomlValue* surfaces = room == nullptr ? nullptr : entry(*room, "surface");
  if (surfaces == nullptr || tilts.angles_deg.empty()) {
    return;
  }
  for (const TomlValue& surface : surfaces->items) {
    const TomlValue* at = entry(surface, "at");
    const bool follows = at != nullptr && (at->text == "below" || at->text == "above");
    if (follows || entry(surface, "orientations") != nullptr) {
      throw InputError(fmt::format(
          "{}: found a [[room.surface]] (line {}) that {}, allowed surfaces that turn with the "
          "machine (at = \"south\" or another side, in all orientations): the section would be "
          "another one at every angle; list the angles as orientations (orientations = [0, 15, "
          "30]), "
          "each with its own section, in place of tilts, or leave the surface out",
          tilts.place, surface.line,
          follows ? "is " + at->text + " by gravity" : "is there in some orientations only"));
    }
  }
}

void check_tilts_in_section(const Section& section, const Tilts& tilts) {
  for (const double angle : tilts.angles_deg) {
    check_in_section(section, tilted_orientation(angle), tilts.place);
  }
}

} // namespace tiltfin
