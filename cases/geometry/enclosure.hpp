#pragma once
// The case round a cooler as the section shows it. Lengths in m, temperatures in K. Positions
// inside the case count from the inner corner of its west and south walls.

#include "mesh/section.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// A surface of the room near the case, on one of its sides; it closes the section there.
struct Nearby {
  double distance = 0.0; ///< of the case's outside from it [m]
  Side wall;             ///< insulated or isothermal
};

/// An insulated surface of the room that is level while the case is tilted.
struct LevelSurface {
  std::string name;       ///< "below", "above"
  double towards_x = 0.0; ///< unit vector from the case to it, in the board's frame [-]
  double towards_y = 0.0;
  double distance = 0.0;   ///< of the case's nearest corner from it [m]
  double emissivity = 0.0; ///< [-]
};

/// What is near the case in one orientation.
struct NearCase {
  std::array<std::optional<Nearby>, 4> sides{}; ///< by SideName
  std::vector<LevelSurface> level;
};

/// The case: a box of sheet, in a meshed room when `margin` is above zero; otherwise its inner
/// faces are the sides of the section.
struct Enclosure {
  double width = 0.0;             ///< inside, along x [m]
  double height = 0.0;            ///< inside, along y [m]
  double wall_thickness = 0.0;    ///< [m]
  double wall_conductivity = 0.0; ///< [W/(m K)]
  double margin = 0.0;            ///< of room air round the case [m]
  double room_temperature = 0.0;  ///< [K]
  Side outside;                   ///< closed sides without a meshed room: film or isothermal
  double emissivity = 0.0;        ///< of the walls, inside and outside [-]
  std::array<std::optional<Nearby>, 4> nearby{}; ///< by SideName, read only in a meshed room
  std::vector<LevelSurface> level{};             ///< drawn by add_level_surfaces, in a meshed room
  double depth = 0.0;                            ///< inside, out of the plane; 0: not given [m]

  /// Air that is meshed on this side of the case [m].
  [[nodiscard]] double margin_on(SideName side) const {
    return nearby[side] ? nearby[side]->distance : margin;
  }
};

/// The inside of the case in the section.
[[nodiscard]] Rectangle inner_outline(const Enclosure& enclosure);

/// What a panel state makes of a wall of the case.
struct Wall {
  bool open = false;            ///< the sheet is taken off ...
  std::optional<Grille> grille; ///< ... or is a grille with these losses
};

/// By SideName.
using Walls = std::array<Wall, 4>;

/// The case alone, in a section of this depth [m].
[[nodiscard]] Section enclosure_section(const Enclosure& enclosure, const Walls& walls,
                                        double depth);

} // namespace tiltfin
