#pragma once
// What the tables of a section drawn by hand may hold.

#include "cases/input/keys.hpp"

namespace tiltfin {

/// Those tables at the top of the case file, [section] first.
[[nodiscard]] const KeyTable& drawn_tables();

} // namespace tiltfin
