#include "post/numbers/outcome.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

constexpr double rounding_of_rises = 1e-11; // temperatures near 300 K less the room's

OutcomeContext ten_watts() {
  OutcomeContext context;
  context.panel = "panel-on";
  context.orientation = "flat-up";
  context.power_w = 10.0;
  context.core_to_base_k_per_w = 0.3;
  return context;
}

} // namespace

TEST_CASE("Outcome: rises, resistance and core follow from the base", "[outcome]") {
  const Solution solution = small_solution(-9.8, 0.0, 40.0);
  const Outcome outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.panel == "panel-on");
  CHECK(outcome.orientation == "flat-up");
  CHECK(outcome.status == SolveStatus::converged);
  CHECK_THAT(outcome.base_rise_mean_k.value, WithinRel(40.0, rounding_of_rises));
  CHECK_THAT(outcome.base_rise_max_k, WithinRel(40.0, rounding_of_rises));
  CHECK_THAT(outcome.core_rise_k, WithinRel(43.0, rounding_of_rises));
  CHECK_THAT(outcome.resistance_k_per_w.value, WithinRel(4.0, rounding_of_rises));
  CHECK(outcome.air_speed_max_m_per_s.value == 0.0);
  CHECK_THAT(outcome.film_temperature_c, WithinRel(36.85, rounding_of_rises));
  CHECK(outcome.cells == 32 * 24);
  CHECK(std::isnan(outcome.base_rise_mean_k.error)); // there is no coarse solution
  REQUIRE(outcome.solids.size() == 3);
  CHECK(outcome.solids[0].name == "base");
  REQUIRE(outcome.sides.size() == 4);
  CHECK(outcome.sides[3].name == "north");
  CHECK(outcome.radiated_share == 0.0); // no surface has an emissivity
}

TEST_CASE("Outcome: the Rayleigh number is that of the smallest fin gap", "[outcome]") {
  const Outcome outcome = make_outcome(small_cooler(), small_solution(0.0, -9.8), ten_watts());
  // g beta rise size^3 / (nu alpha), the gap of 10 mm between base and first fin:
  // nu = 1 / 2 m2/s, alpha = 0.5 / 2 m2/s.
  CHECK_THAT(outcome.rayleigh_gap, WithinRel(9.8 * 0.01 * 40.0 * 1e-6 / (0.5 * 0.25), 1e-9));
}

TEST_CASE("Outcome: the error estimate is Richardson's of order 1.5", "[outcome]") {
  Solution solution = small_solution(0.0, -9.8, 40.0);
  const Solution coarse = small_solution(0.0, -9.8, 43.0);
  solution.coarse_problem = coarse.problem;
  solution.coarse_state = coarse.state;
  // Order 1.5 and mesh ratio 2: the difference of 3 K over 2^1.5 - 1; factor 1.25 (Roache 1994).
  const double error = 1.25 * 3.0 / (std::sqrt(8.0) - 1.0);
  const Outcome outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK_THAT(outcome.base_rise_mean_k.error, WithinRel(error, rounding_of_rises));
  CHECK_THAT(outcome.resistance_k_per_w.error, WithinRel(error / 10.0, rounding_of_rises));
  CHECK(outcome.air_speed_max_m_per_s.error == 0.0); // still air on both meshes
}

TEST_CASE("Outcome: the radiated share is that of the cooler's solids", "[outcome]") {
  // Black fins and base, all at one temperature, in air at 300 K and the radiation of a black space
  // at 300 K; beside them a hot black part that is not the cooler's.
  Section section = small_cooler();
  section.solids.push_back(solid_of("part", {0.07, 0.075, 0.01, 0.05}, Role::other));
  for (Solid& solid : section.solids) {
    solid.emissivity = 1.0;
  }
  constexpr double air = 300.0;
  constexpr double cooler = 340.0;
  const TensorMesh mesh = mesh_of(section, even_axis(0.08, 32), even_axis(0.06, 24));
  Solution solution = small_solution(0.0, -9.8, 40.0);
  solution.problem = make_problem(section, mesh, {0.0, -9.8, 10.0}, hand_air());
  for (std::size_t k = 0; k < mesh.region.size(); ++k) {
    const int region = mesh.region[k]; // 0: air; the part comes last
    solution.state.temperature[k] = region == 0 ? air : region == 4 ? 400.0 : cooler;
  }
  solution.state.radiosity.assign(solution.problem.radiation->zones.size(),
                                  stefan_boltzmann * std::pow(300.0, 4));
  solution.state.irradiation = solution.state.radiosity;
  const Outcome outcome = make_outcome(section, solution, ten_watts());
  // All faces are alike: square cells of 2.5 mm, so that k / (half a cell) times the face is 2 k on
  // either side, 200 W/(m K) in metal and 1 in air, and the surface has the temperature t where
  //   200 (340 - t) = (t - 300) + 2.5 mm sigma (t^4 - 300^4),  to the air and to the space.
  const auto to_space = [](double t) {
    return 0.0025 * 5.670374e-8 * (std::pow(t, 4) - std::pow(300.0, 4));
  };
  double low = 300.0;
  double high = 340.0;
  for (int k = 0; k < 60; ++k) { // bisection
    const double t = 0.5 * (low + high);
    (200.0 * (cooler - t) > (t - air) + to_space(t) ? low : high) = t;
  }
  CHECK_THAT(outcome.radiated_share, WithinRel(to_space(low) / (to_space(low) + low - air),
                                               1e-9)); // rounding_of_rises at 300 K
  CHECK(outcome.radiated_share > 0.01);
}

TEST_CASE("Outcome: without a base there are no rises", "[outcome]") {
  Section section = small_cooler();
  section.base = -1;
  const Outcome outcome = make_outcome(section, small_solution(0.0, -9.8), ten_watts());
  CHECK(std::isnan(outcome.base_rise_mean_k.value));
  CHECK(std::isnan(outcome.base_rise_max_k));
  CHECK(std::isnan(outcome.core_rise_k));
  CHECK(std::isnan(outcome.resistance_k_per_w.value));
  CHECK(std::isnan(outcome.rayleigh_gap));
}

TEST_CASE("Outcome: what a reader must know is a warning", "[outcome]") {
  Solution solution = small_solution(0.0, -9.8, 40.0);
  Outcome outcome = make_outcome(small_cooler(), solution, ten_watts());
  // beta 0.01 times 338.15 - 300 K is above 0.1; the made-up state balances no heat.
  REQUIRE(outcome.warnings.size() == 2);
  CHECK_THAT(outcome.warnings[0], ContainsSubstring("Boussinesq"));
  CHECK_THAT(outcome.warnings[1], ContainsSubstring("heat balance"));

  solution.report.status = SolveStatus::not_converged;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK_THAT(outcome.warnings.at(0), ContainsSubstring("not converged"));

  solution.report.status = SolveStatus::time_average;
  solution.report.fluctuation = 0.5;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK_THAT(outcome.warnings.at(0), ContainsSubstring("fluctuating by 0.5 K"));

  solution.problem.sides[south] = {SideKind::isothermal, 300.0};
  solution.state.temperature[0] = 290.0;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK_THAT(outcome.undershoot_k, WithinAbs(10.0, 1e-9));
  CHECK_THAT(outcome.warnings.back(), ContainsSubstring("10 K colder than all surroundings"));
}

TEST_CASE("Outcome: stability is told with growth and period", "[outcome]") {
  Solution solution = small_solution(0.0, -9.8, 40.0);
  Outcome outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.stability.state == Stability::not_examined);
  CHECK(std::isnan(outcome.stability.growth_per_s));
  CHECK(std::isnan(outcome.stability.period_s));

  solution.report.stability_known = true;
  solution.report.growth = -0.25;
  solution.report.frequency = 0.0;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.stability.state == Stability::stable);
  CHECK(outcome.stability.growth_per_s == -0.25);
  CHECK(std::isnan(outcome.stability.period_s)); // it decays without swinging

  solution.report.growth = 0.5;
  solution.report.frequency = 3.141592653589793;
  solution.report.unstable = true;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.stability.state == Stability::unstable);
  CHECK_THAT(outcome.stability.period_s, WithinRel(2.0, rounding_of_rises));
  CHECK_THAT(outcome.warnings.at(0), ContainsSubstring("e-fold in 2 s, period 2 s"));

  solution.report.status = SolveStatus::time_average; // of a flow that left this steady state
  solution.report.fluctuation = 0.5;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK_THAT(outcome.warnings.at(0), ContainsSubstring("e-fold in 2 s, period 2 s") &&
                                         ContainsSubstring("fluctuating by 0.5 K"));
}

TEST_CASE("Outcome: a condition's id is safe in a file name and never shared", "[outcome]") {
  CHECK(condition_id("panel-on", "flat-up", 40.0) == "panel-on_flat-up_40w");
  CHECK(condition_id("panel-on", "upright", 12.5) == "panel-on_upright_12.5w");
  CHECK(condition_id("a/b", "upright", 1.0) == "a~2fb_upright_1w");
  CHECK(condition_id("a b", "upright", 1.0) != condition_id("a/b", "upright", 1.0));
  CHECK(condition_id("a", "upright", 1.0) != condition_id("a", "upright", 1.0000001));
}

} // namespace tiltfin::tests
