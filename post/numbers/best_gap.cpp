#include "post/numbers/best_gap.hpp"

#include <cmath>

namespace tiltfin {

double best_gap_of_vertical_plates(double length, double rise, const AirProperties& air,
                                   double gravity) {
  constexpr double factor = 2.714; // as printed
  const double rayleigh_per_cube =
      gravity * air.expansion * rise / (air.kinematic_viscosity() * air.diffusivity());
  return factor * std::pow(rayleigh_per_cube / length, -0.25);
}

} // namespace tiltfin
