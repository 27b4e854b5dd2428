#include "cases/check/governing.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {

Rise governing_rise(const Case& the_case, const Section& section) {
  constexpr double assumed = 50.0; // when no side says better [K]
  double low = 0.0;
  double high = 0.0;
  int n = 0;
  for (const Side& side : section.sides) {
    if (side.kind == SideKind::isothermal) {
      low = n == 0 ? side.temperature : std::min(low, side.temperature);
      high = n == 0 ? side.temperature : std::max(high, side.temperature);
      ++n;
    }
  }
  if (high > low) {
    return {.kelvin = high - low, .coldest = low, .is_assumed = false};
  }
  return {.kelvin = assumed, .coldest = the_case.room_temperature, .is_assumed = true};
}

AirProperties governing_air(const Case& the_case, const Rise& rise) {
  return the_case.air ? *the_case.air : air_at(rise.coldest + 0.5 * rise.kelvin, rise.coldest);
}

double rayleigh(const Case& the_case, const AirProperties& air, double rise, double length) {
  return the_case.gravity * air.expansion * rise * std::pow(length, 3) /
         (air.kinematic_viscosity() * air.diffusivity());
}

} // namespace tiltfin
