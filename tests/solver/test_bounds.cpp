#include "solver/bounds.hpp"
#include "solver/steady.hpp"
#include "tests/bench/random_sections.hpp"
#include "tests/solver/fixtures.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A closed box between walls at 310 and 300 K.
Section box() {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.sides[west] = {.kind = SideKind::isothermal, .temperature = 310.0};
  section.sides[east] = {.kind = SideKind::isothermal, .temperature = 300.0};
  section.sides[south].temperature = 200.0; // of an insulated side: means nothing
  return section;
}

Solution solve_random(int number) {
  const RandomSection random = random_section(1, number);
  NestedOptions options;
  options.resolution = random.resolution;
  options.examine_stability = false;
  return solve_nested(random.section, random.condition, AirRule{{}, 298.15}, options);
}

} // namespace

TEST_CASE("Bounds: air is too cold below all that it could have touched", "[bounds]") {
  const Section section = box();
  const Problem problem = make_problem(section, make_mesh(section, {}), {0.0, -9.8, 0.0}, {});
  CHECK(coldest_outside(problem) == 300.0);
  State state = rest_state(problem, 301.0);
  CHECK(undershoot(problem, state) == 0.0);
  state.temperature[7] = 299.8;
  CHECK_THAT(undershoot(problem, state), WithinAbs(0.2, rounding * 300.0));
  CHECK(is_too_cold(problem, state));
  state.temperature[8] = 325.0; // 0.2 K are less than a hundredth of 25.2 K
  CHECK_FALSE(is_too_cold(problem, state));
  state.temperature[7] = 299.7;
  CHECK(is_too_cold(problem, state));
}

TEST_CASE("Bounds: without anything outside, nothing is too cold", "[bounds]") {
  Section section = box();
  section.sides[west] = section.sides[east] = Side{};
  const Problem problem = make_problem(section, make_mesh(section, {}), {0.0, -9.8, 0.0}, {});
  CHECK(std::isinf(coldest_outside(problem)));
  CHECK_FALSE(is_too_cold(problem, rest_state(problem, 1.0)));
}

TEST_CASE("Bounds: heat is carried with more upwinding where air would be too cold",
          "[bounds][slow]") {
  const Solution solution = solve_random(10); // a bundle of fins that stands in a room
  REQUIRE(solution.report.status == SolveStatus::converged);
  CHECK(solution.problem.heat_peclet < solution.problem.blend_peclet);
  CHECK_FALSE(is_too_cold(solution.problem, solution.state));
  REQUIRE(solution.coarse_problem.has_value());
  CHECK(solution.coarse_problem->heat_peclet == solution.problem.heat_peclet);

  Problem as_elsewhere = solution.problem;
  as_elsewhere.heat_peclet = as_elsewhere.blend_peclet;
  State state = solution.state;
  SteadyOptions warm;
  warm.cold = false;
  REQUIRE(solve_steady(as_elsewhere, state, warm).status == SolveStatus::converged);
  CHECK(undershoot(as_elsewhere, state) > 1.0);
}

TEST_CASE("Bounds: where no air is too cold, heat is carried as momentum is", "[bounds]") {
  const Solution solution = solve_random(17);
  REQUIRE(solution.report.status == SolveStatus::converged);
  CHECK(solution.problem.heat_peclet == solution.problem.blend_peclet);
}
