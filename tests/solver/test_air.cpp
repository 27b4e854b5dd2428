#include "solver/air.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Dry air at 101.325 kPa in printed units; 0 where the test does not compare.
struct TableRow {
  double temperature;  // K
  double density;      // kg/m3
  double capacity;     // J/(kg K)
  double viscosity;    // 1e-7 Pa s
  double conductivity; // 1e-3 W/(m K)
};

} // namespace

TEST_CASE("Air: properties agree with the tables they come from", "[air]") {
  // Viscosity and conductivity: U.S. Standard Atmosphere 1976, printed with four digits; density:
  // ideal gas at 101.325 kPa; heat capacity: Lemmon et al. 2000, printed to 1 J/(kg K).
  const TableRow rows[] = {
      {250.00, 1.4119, 1003.0, 159.9, 22.27}, {273.15, 1.2923, 1004.0, 171.6, 24.14},
      {293.15, 1.2041, 1005.0, 181.3, 25.72}, {300.00, 1.1766, 1005.0, 184.6, 26.25},
      {323.15, 1.0923, 1007.0, 195.4, 28.03}, {350.00, 1.0085, 1009.0, 207.4, 30.04},
      {373.15, 0.9459, 1011.0, 217.3, 31.74}, {400.00, 0.8825, 1014.0, 228.5, 33.66}};
  for (const TableRow& row : rows) {
    CAPTURE(row.temperature);
    const AirProperties air = air_at(row.temperature, 293.15);
    // The same formulas: half a unit of the last printed digit is at most 0.03 %; the density's
    // source may take air as a real gas (compressibility 0.9994 at 250 K).
    CHECK_THAT(air.viscosity * 1e7, WithinRel(row.viscosity, 4e-4));
    CHECK_THAT(air.conductivity * 1e3, WithinRel(row.conductivity, 4e-4));
    CHECK_THAT(air.density, WithinRel(row.density, 1e-3));
    // The header promises 0.2 %; the table's rounding adds 0.05 %.
    CHECK_THAT(air.heat_capacity, WithinRel(row.capacity, 2.5e-3));
  }
}

TEST_CASE("Air: transport properties agree with an independent correlation", "[air]") {
  // Lemmon and Jacobsen, Int. J. Thermophys. 25 (2004) 21-69. Handbooks differ by 2 to 3 % from
  // each other; the two sources here by up to 1.3 % in conductivity (250 K).
  const TableRow rows[] = {{250.00, 0.0, 0.0, 160.7, 22.57},
                           {300.00, 0.0, 0.0, 185.6, 26.39},
                           {350.00, 0.0, 0.0, 208.9, 30.01},
                           {400.00, 0.0, 0.0, 230.7, 33.46}};
  for (const TableRow& row : rows) {
    CAPTURE(row.temperature);
    const AirProperties air = air_at(row.temperature, row.temperature);
    CHECK_THAT(air.viscosity * 1e7, WithinRel(row.viscosity, 0.015));
    CHECK_THAT(air.conductivity * 1e3, WithinRel(row.conductivity, 0.015));
  }
}

TEST_CASE("Air: buoyancy is zero at the reference temperature, not at the film temperature",
          "[air]") {
  const AirProperties air = air_at(320.0, 293.15);
  CHECK(air.reference_temperature == 293.15);
  CHECK_THAT(air.expansion, WithinRel(1.0 / 320.0, 1e-15)); // ideal gas, one rounding
}

TEST_CASE("Air: derived numbers follow from the properties", "[air]") {
  const AirProperties air = air_at(300.0, 300.0);
  const double rounding = 1e-15; // three operations
  CHECK_THAT(air.kinematic_viscosity() * air.density, WithinRel(air.viscosity, rounding));
  CHECK_THAT(air.diffusivity() * air.density * air.heat_capacity,
             WithinRel(air.conductivity, rounding));
  CHECK_THAT(air.prandtl(), WithinRel(air.kinematic_viscosity() / air.diffusivity(), rounding));
  // Incropera and DeWitt, table A.4: Pr = 0.707 at 300 K. Handbooks agree to about 1 % here.
  CHECK_THAT(air.prandtl(), WithinRel(0.707, 0.01));
}

TEST_CASE("Air: a film temperature outside 200 to 600 K is refused", "[air]") {
  CHECK_THROWS_AS(air_at(199.9, 300.0), AirRangeError);
  CHECK_THROWS_AS(air_at(600.1, 300.0), AirRangeError);
  CHECK_THROWS_AS(air_at(std::numeric_limits<double>::quiet_NaN(), 300.0), AirRangeError);
  CHECK(std::isfinite(air_at(200.0, 300.0).viscosity));
  CHECK(std::isfinite(air_at(600.0, 300.0).viscosity));
}
