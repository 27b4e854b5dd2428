#pragma once
// Radial fins round a core: the table [ring].

#include "cases/geometry/fins.hpp"
#include "cases/geometry/mount.hpp"

#include <optional>

namespace tiltfin {

/// Radial fins round a core whose axis is the board's normal. The section holds the axis and shows
/// the faces of the fins above and below it, as two media whose gap grows with the distance from
/// the axis. Where gravity lies along the axis another section takes its place
/// (cases/geometry/round_ring). This one is plane: the depth is half the mean circumference of the
/// fins, so that metal and surface of a half ring are those of one medium. The mount's base length
/// is the core's diameter.
struct Ring {
  static constexpr const char* table = "ring";
  Mount mount;
  int fins = 0;                ///< all round
  double fin_thickness = 0.0;  ///< [m]
  double fin_height = 0.0;     ///< along x, of the core too, above the base [m]
  double outer_diameter = 0.0; ///< [m]
  int fan_sections = 1;        ///< that stand for it upright (cases/geometry/fan)
  /// Out of the plane, for a ring that lies flat (cases/geometry/round_ring) [m].
  double chip_depth = 0.0;
};

/// The keys of its table.
[[nodiscard]] const KeyTable& ring_keys();

/// Throws InputError.
[[nodiscard]] Ring read_ring(const TomlTable& table, const Board& board);

/// Solids board, chip, base (core included) and the media "fins-south" and "fins-north".
/// Throws DoesNotFit "found ..., allowed ..." when the cooler does not fit.
[[nodiscard]] Section section_of(const Ring& ring, const Board& board, const Enclosure& enclosure,
                                 const Walls& walls);

/// What the plane section leaves out of it.
[[nodiscard]] std::vector<std::string> notes_of(const Ring& ring);

/// Whether the section shows faces of fins, as media.
[[nodiscard]] bool has_media(const Ring& ring);

/// Base and core are round.
[[nodiscard]] Metal metal_of(const Ring& ring);

/// Why its fins are no array that can be laid out anew.
[[nodiscard]] NoFinArray fins_of(const Ring& ring);

} // namespace tiltfin
