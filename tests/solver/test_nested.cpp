#include "solver/nest.hpp"
#include "solver/start.hpp"
#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <algorithm>
#include <atomic>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

AirRule round_rule() {
  return {round_air(), room};
}

NestedOptions coarse_options(double wall_cell, double largest_cell) {
  NestedOptions options;
  options.resolution.cells_per_gap = 6;
  options.resolution.wall_cell = wall_cell;
  options.resolution.largest_cell = largest_cell;
  return options;
}

/// A warm block, 20 x 30 mm, off the middle of a 100 mm box with walls at room temperature.
Section warm_block() {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  for (Side& side : section.sides) {
    side = {SideKind::isothermal, 293.15, 0.0};
  }
  section.solids = {solid({0.03, 0.05, 0.02, 0.05}, 200.0, 1.0)};
  section.base = 0;
  return section;
}

Condition standing(double power) {
  return {0.0, -standard_gravity, power};
}

Solution solve_block(double power, const Solution* warm = nullptr) {
  const AirRule tables{{}, 293.15};
  return solve_nested(warm_block(), standing(power), tables, coarse_options(0.0025, 0.005), warm);
}

double base_temperature(const Problem& problem, const State& state) {
  double sum = 0.0;
  double area = 0.0;
  for (int k = 0; k < problem.mesh.n_cells(); ++k) {
    if (problem.mesh.region[at(k)] == 1) {
      const double own = problem.mesh.x.width(k % problem.mesh.x.n()) *
                         problem.mesh.y.width(k / problem.mesh.x.n());
      sum += own * state.temperature[at(k)];
      area += own;
    }
  }
  return sum / area;
}

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

struct Interrupted {
  Solution solution;
  int steps = 0; ///< taken on all meshes
};

/// A cold solve that is asked to stop after so many steps.
Interrupted solve_until(int last) {
  Interrupted run;
  std::atomic<bool> stop{false};
  NestedOptions options = coarse_options(0.03, 0.08);
  options.steady.stop = &stop;
  options.steady.watch = [&](const SolveReport&) { stop = ++run.steps >= last; };
  run.solution = solve_nested(furnished_box(), tilted(37.0, 1e6, 1.0), round_rule(), options);
  return run;
}

/// True when the state has finite numbers, as many as the problem has nodes, cells and links.
bool fits(const Problem& problem, const State& state) {
  return state.psi.size() == at(problem.mesh.n_nodes()) &&
         state.temperature.size() == at(problem.mesh.n_cells()) &&
         state.link_heat.size() == problem.links.size() && std::isfinite(largest(state.psi)) &&
         std::isfinite(largest(state.temperature));
}

bool fits(const Solution& solution) {
  if (solution.coarse_problem.has_value() != solution.coarse_state.has_value()) {
    return false;
  }
  return fits(solution.problem, solution.state) &&
         (!solution.coarse_problem || fits(*solution.coarse_problem, *solution.coarse_state));
}

} // namespace

TEST_CASE("Nested: the square cavity at Ra 1e4 has the published Nusselt number", "[nested]") {
  const Solution solution =
      solve_nested(heated_box(), tilted(0.0, 1e4), round_rule(), coarse_options(0.02, 0.05));
  REQUIRE(solution.report.status == SolveStatus::converged);
  // Hortmann, Peric and Scheuerer, Int. J. Numer. Methods Fluids 11 (1990) 189: 2.24475. The mesh
  // is coarse: 0.5 %.
  CHECK_THAT(heat_out(solution.problem, solution.state, east), WithinRel(2.24475, 5e-3));
}

TEST_CASE("Nested: the coarse partner has half the cells and is solved", "[nested]") {
  const Solution solution = solve_nested(furnished_box(), tilted(37.0, 1e4, 1.0), round_rule(),
                                         coarse_options(0.03, 0.08));
  REQUIRE(solution.report.status == SolveStatus::converged);
  REQUIRE(solution.coarse_problem.has_value());
  REQUIRE(solution.coarse_state.has_value());
  const Problem& coarse = *solution.coarse_problem;
  CHECK(2 * coarse.mesh.x.n() == solution.problem.mesh.x.n());
  CHECK(2 * coarse.mesh.y.n() == solution.problem.mesh.y.n());
  const Unknowns unknowns = number_unknowns(coarse);
  const std::vector<double> z = pack(unknowns, *solution.coarse_state);
  // Rows to 1e-9 of their terms: conductances of some units times 300 K, gravity times 300 K.
  CHECK(largest(temperature_rows(unknowns, residual(coarse, unknowns, z))) < 1e-9 * 300.0 * 100.0);
}

TEST_CASE("Nested: given constants are used as they are", "[nested]") {
  const Solution solution =
      solve_nested(heated_box(), tilted(0.0, 1e3), round_rule(), coarse_options(0.05, 0.1));
  CHECK(solution.problem.air.viscosity == round_air().viscosity);
  CHECK(solution.problem.air.reference_temperature == room);
  CHECK(solution.coarse_problem->air.expansion == 1.0);
}

TEST_CASE("Nested: the air has the properties of the film temperature that it reaches",
          "[nested]") {
  const Solution solution = solve_block(5.0);
  REQUIRE(solution.report.status == SolveStatus::converged);
  const double base = base_temperature(solution.problem, solution.state);
  REQUIRE(base > 293.15 + 5.0);
  // The film temperature stands still within 0.02 K.
  CHECK_THAT(solution.film_temperature, WithinAbs(0.5 * (293.15 + base), 0.02));
  const AirProperties expected = air_at(solution.film_temperature, 293.15);
  CHECK(solution.problem.air.viscosity == expected.viscosity);
  CHECK(solution.problem.air.conductivity == expected.conductivity);
  CHECK(solution.problem.air.reference_temperature == 293.15);
}

TEST_CASE("Nested: a warm start reaches the cold start's solution with less work", "[nested]") {
  const Solution first = solve_block(5.0);
  const Solution warm = solve_block(7.0, &first);
  const Solution cold = solve_block(7.0);
  REQUIRE(warm.report.status == SolveStatus::converged);
  REQUIRE(cold.report.status == SolveStatus::converged);
  CHECK(warm.report.factorisations < cold.report.factorisations);
  // Film temperatures may differ by 0.02 K, air by 1e-4, the rise by as much.
  const double rise = base_temperature(cold.problem, cold.state) - 293.15;
  CHECK_THAT(base_temperature(warm.problem, warm.state) - 293.15, WithinRel(rise, 2e-4));
}

TEST_CASE("Nested: more power makes the base warmer, by less than in proportion", "[nested]") {
  // Natural convection: rise = a P^m with m between 0.7 and 1.
  const auto rise = [](double power) {
    const Solution solution = solve_block(power);
    REQUIRE(solution.report.status == SolveStatus::converged);
    return base_temperature(solution.problem, solution.state) - 293.15;
  };
  const double exponent = std::log2(rise(8.0) / rise(4.0));
  CHECK(exponent > 0.7);
  CHECK(exponent < 1.0);
}

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

TEST_CASE("Nested: a flow that sways is averaged, on both meshes", "[nested][slow]") {
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

TEST_CASE("Nested: a mean belongs to the level that was marched, whatever came before",
          "[nested]") {
  const Section section = furnished_box();
  const Condition condition = tilted(37.0, 1e6, 1.0);
  const AirRule air = round_rule();
  const NestedOptions options = coarse_options(0.03, 0.08);
  Nest nest = make_nest(section, condition, air, options);
  make_level(nest, 1);
  nest.level(1).state = rest_state(nest.level(1).problem, room);
  converge(nest, 1, true);
  refine(nest);
  for (const int number : {1, 0, 1}) {
    average(nest, number);
    CHECK(nest.mean.level == number);
    CHECK(fits(nest.level(nest.mean.level).problem, nest.mean.state));
  }
}

TEST_CASE("Nested: where pseudo-time runs out of steps, true time leads to the same flow",
          "[nested]") {
  NestedOptions options = coarse_options(0.03, 0.08);
  const auto solved = [&options] {
    return solve_nested(furnished_box(), tilted(37.0, 1e6, 1.0), round_rule(), options);
  };
  const Solution usual = solved();
  options.steady.max_steps = 1;
  const Solution marched = solved();
  REQUIRE(usual.report.status == SolveStatus::converged);
  REQUIRE(marched.report.status == SolveStatus::converged);
  // Both are solved to 1e-9 of their rows.
  CHECK(relative_difference(usual.problem, usual.state, marched.state) < 1e-5);
}

TEST_CASE("Nested: a request to stop is obeyed on every mesh", "[nested]") {
  const std::atomic<bool> stop{true};
  NestedOptions options = coarse_options(0.03, 0.08);
  options.steady.stop = &stop;
  const Solution solution =
      solve_nested(furnished_box(), tilted(37.0, 1e6, 1.0), round_rule(), options);
  CHECK(solution.report.status == SolveStatus::stopped);
  CHECK(solution.report.factorisations <= 3); // one step on each mesh
}

TEST_CASE("Nested: wherever a solve is stopped, what it returns fits together", "[nested]") {
  const int all = solve_until(1000).steps;
  for (const int last : {1, all / 4, all / 2, 3 * all / 4, all - 1}) {
    CAPTURE(last, all);
    const Interrupted run = solve_until(last);
    CHECK(run.solution.report.status == SolveStatus::stopped);
    CHECK(run.steps <= last + 2); // at most one step on each mesh still to come
    CHECK(fits(run.solution));
  }
}

TEST_CASE("Nested: the same condition gives the same bits", "[nested]") {
  const Solution one = solve_block(5.0);
  const Solution two = solve_block(5.0);
  CHECK((one.state.psi == two.state.psi));
  CHECK((one.state.temperature == two.state.temperature));
  CHECK(one.film_temperature == two.film_temperature);
}

TEST_CASE("Nest: an attempt that is not kept leaves film temperature and report as they were, and "
          "counts what it cost",
          "[nested]") {
  const Section section = warm_block();
  const Condition condition = standing(1.0);
  const AirRule rule{{}, 293.15};
  const NestedOptions options = coarse_options(0.0025, 0.005);
  Nest nest = make_nest(section, condition, rule, options);
  nest.film = 300.0;
  nest.report = {.status = SolveStatus::converged, .steps = 7, .factorisations = 20};
  const auto go_astray = [&nest] {
    nest.film = 350.0;
    nest.report = {.status = SolveStatus::not_converged, .steps = 40, .factorisations = 60};
  };
  {
    const Attempt attempt(nest);
    go_astray();
  }
  CHECK(nest.film == 300.0);
  CHECK(nest.report.status == SolveStatus::converged);
  CHECK(nest.report.steps == 7);
  CHECK(nest.report.factorisations == 60);

  const auto fail = [&] {
    const Attempt attempt(nest);
    go_astray();
    throw std::runtime_error("on the way");
  };
  CHECK_THROWS_AS(fail(), std::runtime_error);
  CHECK(nest.film == 300.0);

  {
    Attempt attempt(nest);
    go_astray();
    attempt.keep();
  }
  CHECK(nest.film == 350.0);
  CHECK(nest.report.steps == 40);
}
