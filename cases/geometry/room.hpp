#pragma once
// The air outside the case: the table [room]. Throws InputError.

#include "cases/input/toml_reader.hpp"
#include "solver/problem.hpp"

namespace tiltfin {

struct Room {
  double temperature = 298.15; ///< [K]
  double margin = 0.0;         ///< meshed on every side of the case, 0: not meshed [m]
};

[[nodiscard]] const KeyTable& room_keys();

/// `in_case`: the section is of a cooler in a case, whose room may be meshed; else it is drawn.
[[nodiscard]] Room read_room(const TomlTable& table, bool in_case);

/// `has_machine`: the air is meshed round a machine, so that it can be calmed.
[[nodiscard]] CalmRoom read_calm(const TomlTable& table, bool has_machine);

} // namespace tiltfin
