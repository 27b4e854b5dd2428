#pragma once
// What of a case file its results depend on.

#include "cases/input/toml_tree.hpp"

#include <string>

namespace tiltfin {

/// What the results of a case's conditions depend on, as text: all but the title, [bench],
/// [spacing], the temperature of [limit] and the metal's density. The lists in [conditions] only
/// choose conditions; they count when `with_choice`.
[[nodiscard]] std::string text_that_is_solved(TomlValue root, bool with_choice);

} // namespace tiltfin
