#pragma once
// What stands round a cooler and its board: [case] with its [[case.panel]], [[part]] in it and
// [[room.surface]] near it.

#include "cases/geometry/enclosure.hpp"
#include "cases/geometry/room.hpp"
#include "cases/geometry/surroundings.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// A panel state as declared.
struct Panel {
  std::string name;
  Walls walls{};
};

struct Housing {
  std::vector<Enclosure> enclosures; ///< one, or one per orientation
  std::vector<Panel> panels;
  std::vector<Part> parts;
};

/// Of [case].
[[nodiscard]] const KeyTable& enclosure_keys();

/// Throws InputError.
[[nodiscard]] Housing read_housing(const TomlTable& top, const TomlTable& room_table,
                                   const Room& room, const std::vector<Orientation>& orientations);

} // namespace tiltfin
