#include "post/numbers/error_estimate.hpp"
#include "tests/catch.hpp"
#include "tests/mesh/fixtures.hpp"

#include <cmath>
#include <limits>

using namespace tiltfin;
using namespace tiltfin::tests;
using Catch::Matchers::WithinRel;

TEST_CASE("Error estimate: Richardson's with its safety, by hand", "[error]") {
  // 1.25 * |10 - 9| / (2^1.5 - 1); with a partner of 1.5 times the widths and order 1: 1.25 / 0.5.
  CHECK_THAT(discretisation_error(10.0, 9.0), WithinRel(1.25 / (std::sqrt(8.0) - 1.0), 1e-14));
  CHECK_THAT(discretisation_error(10.0, 9.0, {.ratio = 1.5, .order = 1.0}), WithinRel(2.5, 1e-14));
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  CHECK(std::isnan(discretisation_error(10.0, none, {.apart = 0.1})));
  CHECK(std::isnan(discretisation_error(none, 10.0, {.apart = 0.1})));
}

TEST_CASE("Error estimate: a difference that vanishes by chance leaves what the fields tell",
          "[error]") {
  CHECK_THAT(discretisation_error(10.0, 10.0, {.apart = 0.02}), WithinRel(0.45 * 0.2, 1e-14));
  CHECK_THAT(discretisation_error(-10.0, -10.0, {.apart = 0.02}), WithinRel(0.45 * 0.2, 1e-14));
  CHECK(discretisation_error(10.0, 9.0, {.apart = 0.02}) == discretisation_error(10.0, 9.0));
}

TEST_CASE("Error estimate: how far the fields of two meshes are apart", "[error]") {
  // Still air between walls 10 K apart, linear on both meshes, then moved by 1 K on the coarse one.
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.sides[west] = {SideKind::isothermal, 310.0, 0.0};
  section.sides[east] = {SideKind::isothermal, 300.0, 0.0};
  NestedOptions options;
  options.examine_stability = false;
  options.resolution.largest_cell = 0.01;
  options.resolution.wall_cell = 0.01;
  options.resolution.growth = 1.0001;
  const AirRule air{AirProperties{1.0, 1.0, 1.0, 1.0, 1.0, 305.0}, 305.0};
  Solution solution = solve_nested(section, {0.0, 0.0, 0.0}, air, options);
  REQUIRE(solution.coarse_state.has_value());
  // Interpolated linearly but beside the walls, where the last coarse centre is taken: 0.25 K
  // there.
  CHECK(temperatures_apart(solution) < 0.25 / 9.0);
  const double before = temperatures_apart(solution);
  for (double& value : solution.coarse_state->temperature) {
    value += 1.0;
  }
  const double range = 9.0; // between the centres of the outermost of ten cells
  CHECK_THAT(temperatures_apart(solution), WithinRel(std::hypot(1.0 / range, before), 1e-6));
  solution.coarse_state.reset();
  CHECK(temperatures_apart(solution) == 0.0);
}
