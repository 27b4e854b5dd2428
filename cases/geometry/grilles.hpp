#pragma once
// Perforated sheets as tables give them.

#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"

namespace tiltfin {

/// free_area_ratio and hole_diameter_mm.
[[nodiscard]] const KeyTable& grille_loss_keys();

/// The losses of a perforated sheet of this thickness [m]. Throws InputError.
[[nodiscard]] Grille read_grille_losses(const TomlTable& table, double thickness);

} // namespace tiltfin
