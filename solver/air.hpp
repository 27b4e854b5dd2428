#pragma once
// Properties of dry air at 101.325 kPa, and the film-temperature rule.

#include <stdexcept>

namespace tiltfin {

struct AirProperties {
  double density = 0.0;               ///< [kg/m3]
  double heat_capacity = 0.0;         ///< at constant pressure [J/(kg K)]
  double conductivity = 0.0;          ///< [W/(m K)]
  double viscosity = 0.0;             ///< dynamic [Pa s]
  double expansion = 0.0;             ///< volumetric [1/K]
  double reference_temperature = 0.0; ///< where buoyancy is zero [K]

  [[nodiscard]] double kinematic_viscosity() const { return viscosity / density; }
  [[nodiscard]] double diffusivity() const { return conductivity / (density * heat_capacity); }
  [[nodiscard]] double prandtl() const { return viscosity * heat_capacity / conductivity; }
};

/// A film temperature that the tables of air do not reach.
struct AirRangeError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// Between which the tables hold [K].
inline constexpr double coldest_film = 200.0;
inline constexpr double hottest_film = 600.0;

/// Air at film temperature [K], from `coldest_film` to `hottest_film`; throws AirRangeError
/// outside. Buoyancy is zero at `reference_temperature` [K], expansion is 1 / film temperature.
/// Source: U.S. Standard Atmosphere 1976 (viscosity eq. 51, conductivity eq. 53), ideal gas
/// density, cp from the table in Lemmon et al. 2000 as a fit (within 0.2 % from 250 to 400 K).
[[nodiscard]] AirProperties air_at(double film_temperature, double reference_temperature);

} // namespace tiltfin
