#include "cases/file/making_limits.hpp"

namespace tiltfin {

const KeyTable& spacing_keys() {
  static const KeyTable keys{{.name = "min_gap_mm",
                              .bounds = gap_length(),
                              .without = "the program's own limit",
                              .meaning = "smallest gap between fins that can be made"},
                             {.name = "min_thickness_mm",
                              .bounds = length_above_zero(),
                              .without = "the program's own limit",
                              .meaning = "thinnest fin that can be made"}};
  return keys;
}

MakingLimits read_spacing(const TomlTable& top) {
  const TomlTable table = table_at(top, "spacing");
  const auto limit = [&table](const char* key) {
    return find(table, key) == nullptr ? std::optional<double>() : 1000.0 * length(table, key);
  };
  return {limit("min_gap_mm"), limit("min_thickness_mm")};
}

} // namespace tiltfin
