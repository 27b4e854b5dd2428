#pragma once
// From the geometry tables of a case file to its panel states: a cooler on a board in a case
// ([stack], [block] or [ring] with [board] and [case]), or a section drawn by hand ([section] with
// [[solid]], [sides], [[contact]], [[link]], [[medium]] and [[grille]]).

#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"
#include "solver/condition.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// One panel state of the case with the section that it leads to.
/// Where several finishes of the cooler are compared, every panel state exists with each of them.
struct PanelState {
  std::string name; ///< ends in "-" and the finish where several are compared
  Section section;
  std::string finish; ///< of the cooler, where several are compared
  /// By orientation, where what stands near the machine depends on it; else empty. `section` is
  /// then that of the first orientation.
  std::vector<Section> standing{};

  /// In the orientation of this index.
  [[nodiscard]] const Section& section_in(std::size_t orientation) const {
    return standing.empty() ? section : standing[orientation];
  }
};

struct Geometry {
  std::vector<PanelState> panels; ///< as declared
  std::vector<std::string> notes; ///< what the section leaves out
  double spreading = 0.0;         ///< of heat in the base, in series with the section [K/W]
};

/// The air outside the case.
struct Room {
  double temperature = 298.15; ///< [K]
  double margin = 0.0;         ///< meshed on every side of the case, 0: not meshed [m]
};

/// Reads [stack], [block] or [ring], [board], [case] with its [[case.panel]], [[part]] and
/// [[room.surface]]. Throws InputError.
[[nodiscard]] Geometry read_cooler(const TomlTable& top, const TomlTable& room_table,
                                   const Room& room, const std::vector<Orientation>& orientations);

/// The losses of a perforated sheet of this thickness [m] from free_area_ratio and
/// hole_diameter_mm (3 mm when not given) of a table.
[[nodiscard]] Grille read_grille_losses(const TomlTable& table, double thickness);

/// Reads a section drawn by hand; it has the one panel state "as-drawn". Throws InputError.
[[nodiscard]] Geometry read_drawn(const TomlTable& top);

} // namespace tiltfin
