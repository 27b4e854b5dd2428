#include "solver/stability.hpp"
#include "tests/solver/nested_fixtures.hpp"

#include <algorithm>
#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A square box, closed and insulated at its sides, warm below.
Section box_heated_from_below() {
  Section section = empty_box();
  section.sides[south] = isothermal_side(room + 0.5);
  section.sides[north] = isothermal_side(room - 0.5);
  return section;
}

/// A hot bar low in a tall box; its plume is steady by symmetry alone.
Section bar_in_tall_box() {
  Section section = warm_block();
  section.width = 0.2;
  section.height = 0.4;
  section.solids = {solid({0.09, 0.11, 0.02, 0.03}, 200.0, 1.0)};
  return section;
}

/// Seven plates of 1.5 x 60 mm, gaps of 6 mm, in a box of 120 mm with walls at 25 degrees.
Section seven_plates() {
  Section section;
  section.width = 0.12;
  section.height = 0.12;
  for (Side& side : section.sides) {
    side = isothermal_side(298.15);
  }
  for (int k = 0; k < 7; ++k) {
    const double x = 0.03675 + 0.0075 * k;
    section.solids.push_back(solid({x, x + 0.0015, 0.03, 0.09}, 200.0, 1.0 / 7.0));
  }
  return section;
}

} // namespace

TEST_CASE("Nested: still air heated from below is steady, and is left for the roll", "[nested]") {
  NestedOptions options = coarse_options(0.03, 0.05);
  options.examine_stability = false;
  const Solution still =
      solve_nested(box_heated_from_below(), tilted(0.0, 1e4), round_rule(), options);
  REQUIRE(still.report.status == SolveStatus::converged);
  CHECK_FALSE(still.report.stability_known);
  CHECK_THAT(heat_out(still.problem, still.state, north), WithinRel(1.0, 1e-6)); // conduction

  options.examine_stability = true;
  const Solution roll =
      solve_nested(box_heated_from_below(), tilted(0.0, 1e4), round_rule(), options);
  REQUIRE(roll.report.status == SolveStatus::converged);
  CHECK(roll.report.stability_known);
  CHECK_FALSE(roll.report.unstable);
  CHECK(roll.report.growth < 0.0);
  // Ouertatani et al., C. R. Mecanique 336 (2008) 464-470: 2.158 (from memory; recomputed 2.158).
  // The mesh is as coarse as that of the cavity above: cells half as wide again there, 1.5 %.
  CHECK_THAT(heat_out(roll.problem, roll.state, north), WithinRel(2.158, 1.5e-2));
}

TEST_CASE("Nested: below the critical Rayleigh number still air stays", "[nested]") {
  // Square box: 2585 (spectral studies, from memory).
  const Solution still = solve_nested(box_heated_from_below(), tilted(0.0, 2000.0), round_rule(),
                                      coarse_options(0.03, 0.05));
  REQUIRE(still.report.status == SolveStatus::converged);
  CHECK(still.report.stability_known);
  CHECK_FALSE(still.report.unstable);
  CHECK_THAT(heat_out(still.problem, still.state, north), WithinRel(1.0, 1e-6));
}

TEST_CASE("Nested: where half the cells do not have the flow, two thirds of them are its partner",
          "[nested][slow]") {
  NestedOptions options = coarse_options(0.004, 0.011);
  options.blend_peclet = 5.0; // with less upwinding this mesh finds no steady state
  const Solution solution =
      solve_nested(bar_in_tall_box(), standing(160.0), AirRule{{}, 293.15}, options);
  CHECK(solution.report.status == SolveStatus::converged);
  CHECK(solution.report.stability_known);
  CHECK_FALSE(solution.report.unstable);
  CHECK(solution.coarse_ratio == 1.5);
  REQUIRE(solution.coarse_problem.has_value());
  const double share = static_cast<double>(solution.coarse_problem->mesh.n_cells()) /
                       solution.problem.mesh.n_cells();
  CHECK_THAT(share, WithinRel(1.0 / (1.5 * 1.5), 0.1)); // whole cells between the lines
  CHECK(fits(solution));
}

TEST_CASE("Nested: a sway that a finer mesh does not have is none", "[nested][slow]") {
  const AirProperties air{1.16, 1007.0, 0.0263, 1.85e-5, 1.0 / 300.0, 298.15};
  NestedOptions options;
  options.resolution.cells_per_gap = 3;
  const Vector3 down = tilted_orientation(10.0).down;
  const Condition leaning{standard_gravity * down[0], standard_gravity * down[1], 30.0};
  const auto solved = [&] {
    return solve_nested(seven_plates(), leaning, AirRule{air, 298.15}, options);
  };
  const Solution judged = solved();
  options.examine_stability = false;
  const Solution steady = solved();
  REQUIRE(steady.report.status == SolveStatus::converged);
  const Mode mode = leading_modes(steady.problem, steady.state).modes.front();
  REQUIRE(mode.growth > 0.0);
  REQUIRE(mode.frequency > 0.0);
  CHECK(judged.report.status == SolveStatus::converged);
  CHECK(judged.report.stability_known);
  CHECK_FALSE(judged.report.unstable);
  // The finer mesh has the result, and that of before is its coarse partner.
  CHECK(judged.problem.mesh.n_cells() > 2 * steady.problem.mesh.n_cells());
  CHECK(judged.coarse_ratio == 1.5);
  REQUIRE(judged.coarse_problem.has_value());
  CHECK(judged.coarse_problem->mesh.n_cells() == steady.problem.mesh.n_cells());
  CHECK(fits(judged));
}

TEST_CASE("Nested: a flow that sways is averaged, on both meshes", "[nested][long]") {
  // At 45 degrees the flow of this comb never rests.
  const Condition tilted_comb{-standard_gravity * std::sqrt(0.5),
                              -standard_gravity * std::sqrt(0.5), 20.0};
  Section section = comb(293.15);
  const AirRule tables{{}, 293.15};
  NestedOptions options;
  const Solution mean = solve_nested(section, tilted_comb, tables, options);
  CHECK(mean.report.status == SolveStatus::time_average);
  CHECK(mean.report.stability_known);
  CHECK(mean.report.unstable);
  CHECK(mean.report.growth > 0.0);
  CHECK(mean.report.frequency > 0.0);
  CHECK(mean.report.fluctuation > 0.0);
  CHECK(mean.report.sampling > 0.0);
  CHECK(fits(mean));
  REQUIRE(mean.coarse_state.has_value());

  options.examine_stability = false;
  const Solution steady = solve_nested(section, tilted_comb, tables, options);
  REQUIRE(steady.report.status == SolveStatus::converged);
  const auto rise = [](const Problem& problem, const State& state) {
    return *std::max_element(state.temperature.begin(), state.temperature.end()) -
           problem.air.reference_temperature;
  };
  const double of_steady = rise(steady.problem, steady.state);
  const double of_mean = rise(mean.problem, mean.state);
  CHECK(of_mean != of_steady); // another number, but much the same heat
  CHECK_THAT(of_mean, WithinRel(of_steady, 5e-2));
  const double of_coarse = rise(*mean.coarse_problem, *mean.coarse_state);
  CHECK(of_coarse != of_mean);
  CHECK_THAT(of_coarse, WithinRel(of_mean, 5e-2));
}

TEST_CASE("Nested: a mean is followed to a finer mesh", "[nested][slow]") {
  const Condition tilted_comb{-standard_gravity * std::sqrt(0.5),
                              -standard_gravity * std::sqrt(0.5), 20.0};
  const Section section = comb(293.15);
  const AirRule tables{{}, 293.15};
  NestedOptions options;
  const Resolution fine = options.resolution;
  options.resolution = with_cells_scaled(section, fine, 1.5);
  const Solution mean = solve_nested(section, tilted_comb, tables, options);
  REQUIRE(mean.report.status == SolveStatus::time_average);
  options.resolution = fine;
  const Solution finer = follow_nested(section, tilted_comb, tables, options, mean);
  CHECK(finer.report.status == SolveStatus::time_average);
  CHECK(finer.report.unstable);
  CHECK(finer.report.growth == mean.report.growth);
  CHECK(2 * finer.problem.mesh.n_cells() > 3 * mean.problem.mesh.n_cells());
  CHECK(fits(finer));
  REQUIRE(finer.coarse_state.has_value());
  const auto rise = [](const Problem& problem, const State& state) {
    return *std::max_element(state.temperature.begin(), state.temperature.end()) -
           problem.air.reference_temperature;
  };
  const double of_finer = rise(finer.problem, finer.state);
  // Both are estimates of one number: they differ by less than the sum of a generous bar each.
  CHECK_THAT(rise(mean.problem, mean.state), WithinRel(of_finer, 5e-2));
  CHECK_THAT(rise(*finer.coarse_problem, *finer.coarse_state), WithinRel(of_finer, 5e-2));
}
