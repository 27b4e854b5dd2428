#include "cases/geometry/grilles.hpp"

namespace tiltfin {

const KeyTable& grille_loss_keys() {
  static const KeyTable keys{{.name = "free_area_ratio",
                              .bounds = between(0.01, 0.99),
                              .without = "given for every grille",
                              .meaning = "share of a grille's area that is open"},
                             {.name = "hole_diameter_mm",
                              .bounds = hole_length(),
                              .fallback = 3.0,
                              .meaning = "of a grille's round holes"}};
  return keys;
}

Grille read_grille_losses(const TomlTable& table, double thickness) {
  const double share = number(table, "free_area_ratio");
  const double hole = length(table, "hole_diameter_mm");
  return grille_losses(share, hole, thickness);
}

} // namespace tiltfin
