// More than one flow at one power and one angle.
#include "solver/stability.hpp"
#include "solver/start.hpp"
#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double walls = 298.15; // K

/// On four cells a gap.
Problem comb_problem(double tilt_deg) {
  const Vector3 down = tilted_orientation(tilt_deg).down;
  Resolution resolution;
  resolution.cells_per_gap = 8;
  Problem problem = make_problem(comb(walls), make_mesh(comb(walls), resolution, 1),
                                 {standard_gravity * down[0], standard_gravity * down[1], 20.0},
                                 air_at(walls + 10.0, walls));
  problem.blend_peclet = NestedOptions{}.blend_peclet;
  return problem;
}

struct Flow {
  State state;
  double rise = 0.0;   ///< of the hottest cell [K]
  double growth = 0.0; ///< of its least stable mode [1/s]
};

Flow flow_from(const Problem& problem, State state) {
  REQUIRE(solve_steady(problem, state).status == SolveStatus::converged);
  const std::vector<Mode> modes = leading_modes(problem, state).modes;
  REQUIRE_FALSE(modes.empty());
  const double hottest = *std::max_element(state.temperature.begin(), state.temperature.end());
  return {std::move(state), hottest - walls, modes.front().growth};
}

/// 40 s in true time, in steps that resolve the start-up, from rest.
State marched_from_rest(const Problem& problem) {
  State state = rest_state(problem, walls);
  MarchOptions options;
  options.step = 0.1;
  options.window = 200;
  options.max_windows = 2;
  (void)march_average(problem, state, options);
  return state;
}

struct Stirred {
  int turns_x;
  int turns_y;
  double strength;
};

void check_two_flows(const Problem& problem, const Stirred& start, bool second_is_stable) {
  const Flow first = flow_from(problem, rest_state(problem, walls));
  const Flow second = flow_from(
      problem, stirred(problem, first.state, start.turns_x, start.turns_y, start.strength));
  CAPTURE(first.rise, second.rise, first.growth, second.growth);
  CHECK(relative_difference(problem, first.state, second.state) > 5.0 * same_flow);
  CHECK(std::abs(second.rise - first.rise) > 0.01 * first.rise);
  CHECK(first.growth < 0.0);
  CHECK((second.growth < 0.0) == second_is_stable);
  // Real air that starts from rest comes to the flow of the ordinary cold start: 40 s are some ten
  // e-folds of its slowest mode, and the mean of the last 20 s is nearer to it than to the other.
  const State mean = marched_from_rest(problem);
  CHECK(relative_difference(problem, first.state, mean) <
        0.2 * relative_difference(problem, second.state, mean));
}

} // namespace

TEST_CASE("Start: a comb with its fins up holds two stable flows", "[start][slow]") {
  check_two_flows(comb_problem(90.0), {1, 1, 8.0}, true);
}

TEST_CASE("Start: an upright comb holds a second flow that air leaves", "[start][slow]") {
  check_two_flows(comb_problem(0.0), {1, 2, -20.0}, false);
}

TEST_CASE("Start: a symmetric flow is its own mirror image, a lopsided one is not", "[start]") {
  const auto own_image = [](double tilt_deg) {
    const Problem problem = comb_problem(tilt_deg);
    const Flow flow = flow_from(problem, rest_state(problem, walls));
    return relative_difference(problem, flow.state, mirrored(problem, flow.state));
  };
  CHECK(own_image(90.0) < 1e-5); // fins up; the flow is solved to 1e-9 of its rows
  CHECK(own_image(0.0) > 0.1);
}
