#include "cases/file/mesh_table.hpp"

namespace tiltfin {
namespace {

/// A length that the mesh chooses when it is not given.
double read_cell(const TomlTable& table, const std::string& key) {
  if (find(table, key) == nullptr) {
    note_without(table, key);
    return 0.0;
  }
  return length(table, key);
}

} // namespace

const KeyTable& mesh_keys() {
  static const KeyTable keys{
      {.name = "cells_per_gap",
       .bounds = whole(2, 200),
       .fallback = static_cast<double>(Resolution{}.cells_per_gap),
       .meaning = "across a gap between fins, plates or walls"},
      {.name = "cells_per_sheet",
       .bounds = whole(1, 50),
       .fallback = static_cast<double>(Resolution{}.cells_per_sheet),
       .meaning = "across the thinner side of a solid"},
      {.name = "cells_per_medium",
       .bounds = whole(4, 200),
       .fallback = static_cast<double>(Resolution{}.cells_per_medium),
       .meaning = "across the shorter side of fins seen from their faces"},
      {.name = "growth",
       .bounds = between(1.01, 2.0),
       .fallback = Resolution{}.growth,
       .meaning = "ratio of neighbouring cells"},
      {.name = "wall_cell_mm",
       .bounds = cell_length(),
       .without = "smallest gap / cells_per_gap",
       .meaning = "largest cell at a wall"},
      {.name = "largest_cell_mm",
       .bounds = cell_length(),
       .without = "longer side of the section / 20",
       .meaning = "largest cell"},
      {.name = "radiant_zone_mm",
       .bounds = cell_length(),
       .without = "length of all solid surfaces and walls / 120",
       .meaning = "length of the zones that radiation is exchanged between"}};
  return keys;
}

Resolution read_resolution(const TomlTable& table, bool has_media) {
  Resolution resolution;
  resolution.cells_per_gap = whole_number(table, "cells_per_gap");
  resolution.cells_per_sheet = whole_number(table, "cells_per_sheet");
  if (has_media) {
    resolution.cells_per_medium = whole_number(table, "cells_per_medium");
  } else if (find(table, "cells_per_medium") != nullptr) {
    refuse(table, "cells_per_medium", "a key for fin media",
           "only with fins seen from their faces");
  }
  resolution.growth = number(table, "growth");
  resolution.wall_cell = read_cell(table, "wall_cell_mm");
  resolution.largest_cell = read_cell(table, "largest_cell_mm");
  return resolution;
}

double read_radiant_zone(const TomlTable& table) {
  return read_cell(table, "radiant_zone_mm");
}

} // namespace tiltfin
