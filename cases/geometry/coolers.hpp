#pragma once
// From the three-dimensional description of a cooler, its board and its case to the section that
// cuts it. Lengths in m, temperatures in K. Positions inside the case count from the inner corner
// of its west and south walls; the board's back looks west, the cooler stands on its east face.

#include "mesh/section.hpp"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct Board {
  double thickness = 0.0;             ///< along x [m]
  double height = 0.0;                ///< along y [m]
  double behind = 0.0;                ///< gap between the board's back and the case's west wall [m]
  double bottom = 0.0;                ///< of the board's lower end above the case's south wall [m]
  double conductivity_through = 0.0;  ///< along x [W/(m K)]
  double conductivity_in_plane = 0.0; ///< along y [W/(m K)]
  double emissivity = 0.0;            ///< of the board and of the chip on it [-]
};

/// The heat source between the board and the cooler's base; it releases the whole power.
struct Chip {
  double thickness = 0.0;    ///< along x [m]
  double length = 0.0;       ///< along y [m]
  double conductivity = 0.0; ///< [W/(m K)]
  double to_base = 0.0;      ///< contact resistance to the base [m2 K/W]
  double to_board = 0.0;     ///< contact resistance to the board [m2 K/W]
};

/// What stack, block and ring have in common. Chip, base and fins have one centre line along y.
struct Mount {
  Chip chip;
  double base_thickness = 0.0; ///< along x [m]
  double base_length = 0.0;    ///< along y [m]
  double centre = 0.0;         ///< of the cooler above the board's lower end [m]
  double depth = 0.0;          ///< of the fins out of the plane [m]
  double conductivity = 0.0;   ///< of base and fins [W/(m K)]
  double emissivity = 0.0;     ///< of base and fins [-]
  double chip_depth = 0.0;     ///< of the chip out of the plane, 0: not given [m]
};

/// Plates parallel to the board, joined to the base by columns.
struct Stack {
  Mount mount;
  int plates = 0;
  double plate_thickness = 0.0;         ///< along x [m]
  double plate_length = 0.0;            ///< along y [m]
  double plate_gap = 0.0;               ///< clear air between two plates [m]
  double first_gap = 0.0;               ///< clear air between the base and the first plate [m]
  double plate_conductance = 0.0;       ///< from the base to each plate, all columns [W/K]
  std::vector<double> column_positions; ///< centres above the plate's lower end [m]
  double column_width = 0.0;            ///< along y [m]
};

/// A base with fins that stand out along x. Across: they run out of the plane, one above the other
/// along y, and are drawn one by one (the section cuts them edge-on). Along: they run along y, one
/// behind the other out of the plane, and are a fin medium (the section shows their faces); then
/// the base's length is theirs and the mount's depth is the bundle's width.
struct Block {
  Mount mount;
  int fins = 0;
  double fin_thickness = 0.0; ///< along y when across, out of the plane when along [m]
  double fin_height = 0.0;    ///< along x [m]
  bool along = false;
  double fin_gap = 0.0; ///< clear air between two fins, read only when along [m]
};

/// Radial fins round a core whose axis is the board's normal. The section holds the axis and shows
/// the faces of the fins above and below it, as two media whose gap grows with the distance from
/// the axis. It is plane: the depth is half the mean circumference of the fins, so that metal and
/// surface of a half ring are those of one medium. The mount's base length is the core's diameter.
struct Ring {
  Mount mount;
  int fins = 0;                ///< all round
  double fin_thickness = 0.0;  ///< [m]
  double fin_height = 0.0;     ///< along x, of the core too, above the base [m]
  double outer_diameter = 0.0; ///< [m]
};

/// A surface of the room near the case, on one of its sides; it closes the section there.
struct Nearby {
  double distance = 0.0; ///< of the case's outside from it [m]
  Side wall;             ///< insulated or isothermal
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

/// The section through a stack, with solids board, chip, base, plate-1 ... (from the base out) and
/// in a meshed room wall-west ...; one link from the base to every plate and column. A column that
/// stands beside the base ends at the base's nearer end.
/// Throws std::invalid_argument "found ..., allowed ..." when the cooler does not fit.
[[nodiscard]] Section stack_section(const Stack& stack, const Board& board,
                                    const Enclosure& enclosure, const Walls& walls);

/// The section through a block, with solids board, chip, base, fin-1 ... (from south to north; the
/// first and last flush with the base's ends) or the medium "fins". Throws like stack_section.
[[nodiscard]] Section block_section(const Block& block, const Board& board,
                                    const Enclosure& enclosure, const Walls& walls);

/// The section through a ring, with solids board, chip, base (core included) and the media
/// "fins-south" and "fins-north". Throws like stack_section.
[[nodiscard]] Section ring_section(const Ring& ring, const Board& board, const Enclosure& enclosure,
                                   const Walls& walls);

/// Depth of a ring's section [m].
[[nodiscard]] double ring_depth(const Ring& ring);

/// Makes coordinates that differ by less than a nanometre equal, so that rounding in sums of
/// lengths leaves neither slits nor overlaps between solids that touch.
void snap_edges(Section& section);

} // namespace tiltfin
