#include "cases/file/case_difference.hpp"

#include "cases/input/toml_reader.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

namespace tiltfin {
namespace {

constexpr const char* not_given = "not given";
constexpr const char* own_of_cooler = "limit.spreading_k_per_w"; // in its base, no condition

struct Default {
  const char* key;
  double value;
};

/// Defaults of the keys that are compared, as the case reader has them.
const std::vector<Default>& defaults() {
  static const std::vector<Default> all{{"room.temperature_c", 25.0},
                                        {"room.margin_mm", 0.0},
                                        {"room.calm_factor", CalmRoom{}.factor},
                                        {"room.calm_start_mm", 1e3 * CalmRoom{}.start},
                                        {"room.calm_width_mm", 1e3 * CalmRoom{}.width},
                                        {"limit.temperature_c", 100.0},
                                        {"limit.die_to_base_k_per_w", 0.0},
                                        {"air.gravity_m_per_s2", standard_gravity}};
  return all;
}

std::string shown(const TomlValue* table, const std::string& name, const std::string& key) {
  const TomlValue* value = table == nullptr ? nullptr : entry(*table, key);
  if (value != nullptr) {
    return show(*value);
  }
  for (const Default& known : defaults()) {
    if (known.key == join_path(name, key)) {
      return show(known.value);
    }
  }
  return not_given;
}

std::optional<KeyDifference> differing_list(const std::string& key, std::vector<std::string> first,
                                            std::vector<std::string> second) {
  std::ranges::sort(first);
  std::ranges::sort(second);
  if (first == second) {
    return std::nullopt;
  }
  return KeyDifference{key, join(first), join(second)};
}

std::vector<std::string> orientations_of(const Case& the_case) {
  std::vector<std::string> names;
  for (const Orientation& orientation : the_case.orientations) {
    names.push_back(orientation.name);
  }
  return names;
}

std::vector<std::string> panels_of(const Case& the_case) {
  std::vector<std::string> names;
  for (const PanelState& panel : the_case.panels) {
    names.push_back(panel.name);
  }
  return names;
}

} // namespace

std::vector<KeyDifference> differing_keys(const Case& first, const Case& second,
                                          const std::string& table) {
  const TomlValue a = parse_toml(first.text, first.file);
  const TomlValue b = parse_toml(second.text, second.file);
  const TomlValue* one = entry(a, table);
  const TomlValue* other = entry(b, table);
  std::set<std::string> keys;
  for (const TomlValue* side : {one, other}) {
    if (side != nullptr) {
      keys.insert(side->keys.begin(), side->keys.end());
    }
  }
  std::vector<KeyDifference> differences;
  for (const std::string& key : keys) {
    const KeyDifference difference{join_path(table, key), shown(one, table, key),
                                   shown(other, table, key)};
    if (difference.first != difference.second) {
      differences.push_back(difference);
    }
  }
  return differences;
}

std::optional<KeyDifference> differing_condition(const Case& first, const Case& second) {
  for (const char* table : {"room", "limit", "air"}) {
    for (const KeyDifference& difference : differing_keys(first, second, table)) {
      if (difference.key != own_of_cooler) {
        return difference;
      }
    }
  }
  const std::array<std::optional<KeyDifference>, 2> lists{
      differing_list("conditions.orientations", orientations_of(first), orientations_of(second)),
      differing_list("conditions.panels", panels_of(first), panels_of(second))};
  for (const std::optional<KeyDifference>& difference : lists) {
    if (difference) {
      return difference;
    }
  }
  return std::nullopt;
}

} // namespace tiltfin
