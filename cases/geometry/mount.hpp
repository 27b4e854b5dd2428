#pragma once
// What coolers on a board have in common: the board, the chip on it and the base on the chip, as
// their tables say it and as the section shows it. Lengths in m, temperatures in K. The board's
// back looks west, the cooler stands on its east face.

#include "cases/geometry/enclosure.hpp"
#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"

#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace tiltfin {

/// A cooler that its case or its board has no room for: "found ..., allowed ...".
struct DoesNotFit : std::runtime_error {
  using std::runtime_error::runtime_error;
};

struct Board {
  double thickness = 0.0;             ///< along x [m]
  double height = 0.0;                ///< along y [m]
  double behind = 0.0;                ///< gap between the board's back and the case's west wall [m]
  double bottom = 0.0;                ///< of the board's lower end above the case's south wall [m]
  double conductivity_through = 0.0;  ///< along x [W/(m K)]
  double conductivity_in_plane = 0.0; ///< along y [W/(m K)]
  double emissivity = 0.0;            ///< of the board and of the chip on it [-]
  double depth = 0.0;                 ///< out of the plane; 0: not given [m]
};

/// The heat source between the board and the cooler's base; it releases the whole power.
struct Chip {
  double thickness = 0.0;    ///< along x [m]
  double length = 0.0;       ///< along y [m]
  double conductivity = 0.0; ///< [W/(m K)]
  double to_base = 0.0;      ///< contact resistance to the base [m2 K/W]
  double to_board = 0.0;     ///< contact resistance to the board [m2 K/W]
};

/// What all coolers on a board have in common. Chip, base and fins have one centre line along y.
struct Mount {
  Chip chip;
  double base_thickness = 0.0;     ///< along x [m]
  double base_length = 0.0;        ///< along y [m]
  double centre = 0.0;             ///< of the cooler above the board's lower end [m]
  double depth = 0.0;              ///< of the fins out of the plane [m]
  double conductivity = 0.0;       ///< of base and fins [W/(m K)]
  double emissivity = 0.0;         ///< of base and fins [-]
  double chip_depth = 0.0;         ///< of the chip out of the plane, 0: as the fins [m]
  std::optional<double> density{}; ///< of base and fins, where it is given [kg/m3]
};

/// How much metal a cooler is made of, in three dimensions.
struct Metal {
  double volume = 0.0;  ///< [m3]
  double density = 0.0; ///< [kg/m3]
  bool density_is_default = false;
  std::string leaves_out{}; ///< what is not counted; empty: nothing

  [[nodiscard]] double mass() const { return volume * density; } ///< [kg]
};
inline constexpr double aluminium_density = 2700.0; ///< [kg/m3], handbook value
inline constexpr double aluminium_heat = 900.0;     ///< [J/(kg K)], handbook value

/// This volume [m3] of the mount's metal.
[[nodiscard]] Metal metal_of_volume(const Mount& mount, double volume);

/// Of [board].
[[nodiscard]] const KeyTable& board_keys();
[[nodiscard]] Board read_board(const TomlTable& table, const Enclosure& enclosure);

/// Of a package on solder balls, between its body and the board's copper [m2 K/W]: 5 K/W for one of
/// 9 cm2 (from memory: makers print 3 to 8 K/W from junction to board; common practice, no source).
inline constexpr double default_chip_to_board = 4.5e-3;

/// Of every cooler's table.
[[nodiscard]] const KeyTable& mount_keys();

/// Of the tables of coolers with a rectangular base.
[[nodiscard]] const KeyTable& chip_depth_keys();

/// The chip's depth, once length and depth of the base are known. Throws InputError.
void read_chip_depth(const TomlTable& table, Mount& mount);

/// Everything of the mount but the length of its base and the depth, of which a block may derive
/// one from its fins.
[[nodiscard]] Mount read_mount(const TomlTable& table, const Board& board);

/// What the section of a cooler leaves out, whichever it is; `in_room`: the room is meshed.
[[nodiscard]] std::vector<std::string> mount_notes(const Mount& mount, bool in_room);

/// Of heat in the base under the chip's depth, 0 where that is not given [K/W].
[[nodiscard]] double spreading_of(const Mount& mount);

/// Where board, chip and base lie in a section, and how many times as deep as the chip it is there.
struct MountExtents {
  Rectangle board;
  Rectangle chip;
  Rectangle base;
  double dilution = 1.0; ///< of the chip's contacts [-]
};

/// Board, chip and base with their contacts; the chip releases the heat, the base is reported.
void add_mount(Section& section, const Mount& mount, const Board& board,
               const MountExtents& extents);

/// A section that is being put together: case, board, chip and base so far, the latter with their
/// contacts; the chip releases the heat, the base is reported.
struct MountedSection {
  Section section;
  double base_face = 0.0; ///< where the fins begin, along x [m]
  double centre = 0.0;    ///< centre line along y [m]
};
[[nodiscard]] MountedSection mounted_section(const Mount& mount, const Board& board,
                                             const Enclosure& enclosure, const Walls& walls);

/// The section once all is in it. Throws DoesNotFit "found ..., allowed ..." when
/// something is outside the case, or the chip is not on the board.
[[nodiscard]] Section checked_section(MountedSection mounted, const Mount& mount,
                                      const Board& board, const Enclosure& enclosure);

} // namespace tiltfin
