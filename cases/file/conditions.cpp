#include "cases/file/conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <string>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

bool is_same(const Orientation& a, const Orientation& b) {
  double difference = 0.0;
  for (std::size_t k = 0; k < 3; ++k) {
    difference = std::max(difference, std::abs(a.down[k] - b.down[k]));
  }
  return difference < 1e-9; // unit vectors: far below any angle one would write
}

/// Rises at powers that differ by less differ by less than the error of a solve, so that a trend
/// through them is noise.
constexpr double nearest_powers = 1e-3;

constexpr const char* or_a_tilt = ", or a tilt in degrees from -360 to 360";

Keys orientation_names() {
  Keys names;
  for (const Orientation& orientation : named_orientations()) {
    names.push_back(orientation.name);
  }
  return names;
}

} // namespace

const KeyTable& conditions_keys() {
  static const KeyTable keys{
      {.name = "powers_w",
       .bounds = power_of_zero_or_more(),
       .allowed = "a list of 1 to 1000 numbers, each 0 or from 1e-06 to 1000000",
       .meaning = "powers of the chip"},
      {.name = "orientations",
       .allowed = "a list of " + orientation_words(),
       .without = "[\"upright\"]",
       .meaning = "how the machine stands"},
      {.name = "tilts",
       .allowed = "FROM:STEP:TO in degrees, such as 0:15:360, or a list of "
                  "angles: 2 to 360 different ones from -360 to 360, within "
                  "one turn, the step above 0",
       .without = "none",
       .meaning = "angles that every panel state is turned through, too"},
      {.name = "panels",
       .allowed = "a list of panel states of the case",
       .without = "all",
       .meaning = "which of them are solved"},
      {.name = "added_powers",
       .options = {"at-limit", "none"},
       .fallback = "at-limit",
       .meaning = "whether powers are added near each power limit"}};
  return keys;
}

std::vector<double> read_powers(const TomlTable& table) {
  std::vector<double> powers = numbers(table, "powers_w", 1, 1000);
  std::ranges::sort(powers);
  if (const auto tiny = std::ranges::find_if(
          powers,
          [](double power) { return power > 0.0 && !is_within(power_above_zero(), power); });
      tiny != powers.end()) {
    refuse(table, "powers_w", show(*tiny), find_key(conditions_keys(), "powers_w")->allowed);
  }
  const auto twice = std::ranges::adjacent_find(
      powers, [](double low, double high) { return high - low <= nearest_powers * high; });
  if (twice != powers.end()) {
    const double other = *std::next(twice);
    if (*twice == other) {
      refuse(table, "powers_w", show(other) + " twice", "each power once");
    }
    refuse(table, "powers_w", fmt::format("{} and {}, nearly the same", show(*twice), show(other)),
           fmt::format("powers that differ by more than {:g} %", 100.0 * nearest_powers));
  }
  return powers;
}

bool read_adds_powers(const TomlTable& table) {
  return choice(table, "added_powers") == "at-limit";
}

std::vector<Orientation> read_orientations(const TomlTable& table) {
  const TomlValue* list = find(table, "orientations");
  if (list == nullptr) {
    note_without(table, "orientations");
    return {named_orientation("upright")};
  }
  if (list->kind != TomlValue::Kind::list || list->items.empty()) {
    refuse(table, "orientations", show(*list), "a list of names and tilts in degrees");
  }
  std::vector<Orientation> orientations;
  for (const TomlValue& item : list->items) {
    const Orientation orientation = read_orientation(table, "orientations", item);
    for (const Orientation& earlier : orientations) {
      if (earlier.name == orientation.name || is_same(earlier, orientation)) {
        refuse(table, "orientations",
               fmt::format("{}, which is {} again", show(item), earlier.name),
               "each orientation once");
      }
    }
    orientations.push_back(orientation);
  }
  return orientations;
}

Orientation read_orientation(const TomlTable& table, const std::string& key,
                             const TomlValue& item) {
  if (item.kind == TomlValue::Kind::number) {
    return tilted_orientation(number_in(table, key, item, between(-360.0, 360.0)));
  }
  return named_orientation(choice_in(table, key, item, orientation_names(), or_a_tilt));
}

std::string orientation_words() {
  return join(orientation_names()) + or_a_tilt;
}

std::vector<std::string> read_panels(const TomlTable& table, const Keys& all) {
  if (find(table, "panels") == nullptr) {
    note_default(table, "panels", fmt::format("[\"{}\"]", fmt::join(all, "\", \"")));
    return all;
  }
  std::vector<std::string> panels = choices(table, "panels", all);
  if (panels.empty()) {
    refuse(table, "panels", "an empty list", "at least one of " + join(all));
  }
  return panels;
}

std::string out_of_section(const Orientation& orientation) {
  return fmt::format("orientation {}: gravity has a part along z, and this section holds x and y "
                     "only; the section of x and z can answer: describe the cooler with length and "
                     "depth exchanged (and fins_run of a block turned between across and "
                     "along) and ask for upright",
                     orientation.name);
}

std::string out_of_section(const Section& section, const Orientation& orientation) {
  if (!section.axis_distance) {
    return out_of_section(orientation);
  }
  return fmt::format("orientation {}: gravity does not point along x, the axis of the body of "
                     "revolution that the section shows; its air would not be the same all round",
                     orientation.name);
}

void check_in_section(const Section& section, const Orientation& orientation,
                      const std::string& place) {
  if (can_answer(section, orientation)) {
    return;
  }
  Keys inside;
  for (const Orientation& named : named_orientations()) {
    if (can_answer(section, named)) {
      inside.push_back(named.name);
    }
  }
  throw InputError(fmt::format("{}: found {}, allowed {} or a tilt{}; {}", place, orientation.name,
                               join(inside), section.axis_distance ? " of 90 or -90" : "",
                               out_of_section(section, orientation)));
}

} // namespace tiltfin
