#pragma once
// How much metal a cooler is made of, in three dimensions.

#include "cases/file/case.hpp"

#include <optional>
#include <string>

namespace tiltfin {

inline constexpr double aluminium_density = 2700.0; ///< [kg/m3], handbook value

struct Metal {
  double volume = 0.0;  ///< [m3]
  double density = 0.0; ///< [kg/m3]
  bool density_is_default = false;
  std::string leaves_out; ///< what is not counted; empty: nothing

  [[nodiscard]] double mass() const { return volume * density; } ///< [kg]
};

/// Base, fins and plates of a [block], [stack] or [ring] as described, with density_kg_per_m3 of
/// its table; nothing for a drawn section. A ring's base and core are round.
[[nodiscard]] std::optional<Metal> metal_of(const Case& the_case);

} // namespace tiltfin
