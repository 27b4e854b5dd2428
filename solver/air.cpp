#include "solver/air.hpp"

#include <cmath>
#include <string>

namespace tiltfin {

AirProperties air_at(double film_temperature, double reference_temperature) {
  const double t = film_temperature;
  if (!(t >= coldest_film && t <= hottest_film)) {
    throw AirRangeError("found a film temperature of " + std::to_string(t) +
                        " K, allowed 200 to 600 K");
  }
  const double pressure = 101325.0;     // Pa
  const double gas_constant = 287.0528; // J/(kg K)
  AirProperties air;
  air.density = pressure / (gas_constant * t);
  air.heat_capacity = 1002.5 + 275e-6 * (t - 200.0) * (t - 200.0);
  air.viscosity = 1.458e-6 * std::pow(t, 1.5) / (t + 110.4);
  air.conductivity = 2.64638e-3 * std::pow(t, 1.5) / (t + 245.4 * std::pow(10.0, -12.0 / t));
  air.expansion = 1.0 / t;
  air.reference_temperature = reference_temperature;
  return air;
}

} // namespace tiltfin
