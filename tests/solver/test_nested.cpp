#include "solver/nest.hpp"
#include "solver/start.hpp"
#include "solver/steady.hpp"
#include "tests/solver/nested_fixtures.hpp"

#include <algorithm>
#include <atomic>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

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
