#pragma once
// What of a case file its results depend on.

#include "cases/input/toml_tree.hpp"

#include <string>

namespace tiltfin {

/// What the results of a case's conditions depend on, as text: all but the title, [bench],
/// [spacing], the temperature of [limit], the metal's density, and how deep case and board are and
/// what their ends are (the second plane's, cases/choose/second_plane). The lists in [conditions]
/// only choose conditions; they count when `with_choice`.
[[nodiscard]] std::string text_that_is_solved(TomlValue root, bool with_choice);

} // namespace tiltfin
