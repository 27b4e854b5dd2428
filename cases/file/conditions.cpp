#include "cases/file/conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

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

} // namespace

std::vector<double> read_powers(const TomlTable& table) {
  std::vector<double> powers = numbers(table, "powers_w", zero_or_more(), 1, 1000);
  std::ranges::sort(powers);
  const auto twice = std::ranges::adjacent_find(powers);
  if (twice != powers.end()) {
    refuse(table, "powers_w", show(*twice) + " twice", "each power once");
  }
  return powers;
}

std::vector<Orientation> read_orientations(const TomlTable& table) {
  const TomlValue* list = find(table, "orientations");
  if (list == nullptr) {
    note_default(table, "orientations", "[\"upright\"]");
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
  static const Keys names{"upright",     "flat-up",      "flat-down",
                          "upside-down", "quarter-left", "quarter-right"};
  if (item.kind == TomlValue::Kind::number) {
    return tilted_orientation(number_in(table, key, item, between(-360.0, 360.0)));
  }
  return named_orientation(
      choice_in(table, key, item, names, ", or a tilt in degrees from -360 to 360"));
}

std::vector<PanelState> read_panels(const TomlTable& table, const std::vector<PanelState>& all) {
  Keys names;
  for (const PanelState& panel : all) {
    names.push_back(panel.name);
  }
  if (find(table, "panels") == nullptr) {
    note_default(table, "panels", fmt::format("[\"{}\"]", fmt::join(names, "\", \"")));
    return all;
  }
  std::vector<PanelState> panels;
  for (const std::string& name : choices(table, "panels", names)) {
    panels.push_back(all[static_cast<std::size_t>(std::ranges::find(names, name) - names.begin())]);
  }
  if (panels.empty()) {
    refuse(table, "panels", "an empty list", "at least one of " + join(names));
  }
  return panels;
}

} // namespace tiltfin
