#pragma once
// What stands in the case besides the board and its cooler, and what is near the case in its room.

#include "cases/geometry/enclosure.hpp"
#include "cases/input/toml_reader.hpp"
#include "solver/condition.hpp"

#include <array>
#include <optional>
#include <vector>

namespace tiltfin {

/// A thing in the case that warms the air, or stands in its way.
struct Part {
  TomlTable table; ///< where it was read
  Solid solid;     ///< its extent counts from the case's inner corner
};

/// Of [[part]] and [[room.surface]].
[[nodiscard]] const KeyTable& part_keys();
[[nodiscard]] const KeyTable& surface_keys();

/// Reads [[part]]; places are within the case. Throws InputError.
[[nodiscard]] std::vector<Part> read_parts(const TomlTable& top, const Enclosure& enclosure);

/// Puts the parts into a section of the case. Throws InputError where one overlaps what is there.
void add_parts(const std::vector<Part>& parts, const Enclosure& enclosure, Section& section);

/// Reads [[room.surface]] of `room_table`: the surfaces near the case, one entry that holds for
/// every orientation or one entry per orientation; they have the room's temperature. One that
/// follows gravity is on a side of the section where that is turned by quarters, else level. Throws
/// InputError.
[[nodiscard]] std::vector<NearCase> read_nearby(const TomlTable& room_table,
                                                const Enclosure& enclosure,
                                                const std::vector<Orientation>& orientations);

/// Throws InputError where a wall that is off or a grille stands on a surface.
void check_nearby(const TomlTable& room_table, const Enclosure& enclosure, const Walls& walls,
                  const std::string& panel);

/// What has to be said of them on a section of this depth [m].
[[nodiscard]] std::vector<std::string> part_notes(const std::vector<Part>& parts, double depth);

} // namespace tiltfin
