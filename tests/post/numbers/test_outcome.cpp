#include "post/numbers/outcome.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

constexpr double rounding = 1e-11; // temperatures near 300 K less the room's

OutcomeContext ten_watts() {
  OutcomeContext context;
  context.panel = "panel-on";
  context.orientation = "flat-up";
  context.power_w = 10.0;
  context.die_to_base_k_per_w = 0.3;
  return context;
}

} // namespace

TEST_CASE("Outcome: rises, resistance and core follow from the base", "[outcome]") {
  const Solution solution = small_solution(-9.8, 0.0, 40.0);
  const Outcome outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.panel == "panel-on");
  CHECK(outcome.orientation == "flat-up");
  CHECK(outcome.status == "converged");
  CHECK_THAT(outcome.base_rise_mean_k, WithinRel(40.0, rounding));
  CHECK_THAT(outcome.base_rise_max_k, WithinRel(40.0, rounding));
  CHECK_THAT(outcome.core_rise_k, WithinRel(43.0, rounding));
  CHECK_THAT(outcome.resistance_k_per_w, WithinRel(4.0, rounding));
  CHECK(outcome.air_speed_max_m_per_s == 0.0);
  CHECK_THAT(outcome.film_temperature_c, WithinRel(36.85, rounding));
  CHECK(outcome.cells == 32 * 24);
  CHECK(std::isnan(outcome.rise_error_k)); // there is no coarse solution
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
  CHECK_THAT(outcome.rise_error_k, WithinRel(error, rounding));
  CHECK_THAT(outcome.resistance_error_k_per_w, WithinRel(error / 10.0, rounding));
  CHECK(outcome.air_speed_error_m_per_s == 0.0); // still air on both meshes
}

TEST_CASE("Outcome: the radiated share is that of the cooler's solids", "[outcome]") {
  // Black fins and base in the radiation of a black space at 300 K.
  Section section = small_cooler();
  for (Solid& solid : section.solids) {
    solid.emissivity = 1.0;
  }
  Solution solution = small_solution(0.0, -9.8, 40.0);
  const Condition condition{0.0, -9.8, 10.0};
  solution.problem = make_problem(section, solution.problem.mesh, condition, hand_air());
  solution.state.radiosity.assign(solution.problem.radiation->zones.size(),
                                  stefan_boltzmann * std::pow(300.0, 4));
  solution.state.irradiation = solution.state.radiosity;
  const Outcome outcome = make_outcome(section, solution, ten_watts());
  double heat = 0.0;
  double radiation = 0.0;
  for (const NamedHeat& solid : outcome.solids) {
    CHECK(solid.radiation_w > 0.0);
    heat += solid.heat_w;
    radiation += solid.radiation_w;
  }
  CHECK_THAT(outcome.radiated_share, WithinRel(radiation / heat, rounding));
  CHECK(outcome.radiated_share > 0.0);
}

TEST_CASE("Outcome: without a base there are no rises", "[outcome]") {
  Section section = small_cooler();
  section.base = -1;
  const Outcome outcome = make_outcome(section, small_solution(0.0, -9.8), ten_watts());
  CHECK(std::isnan(outcome.base_rise_mean_k));
  CHECK(std::isnan(outcome.base_rise_max_k));
  CHECK(std::isnan(outcome.core_rise_k));
  CHECK(std::isnan(outcome.resistance_k_per_w));
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
  CHECK(outcome.stability == "not examined");
  CHECK(std::isnan(outcome.growth_per_s));
  CHECK(std::isnan(outcome.period_s));

  solution.report.stability_known = true;
  solution.report.growth = -0.25;
  solution.report.frequency = 0.0;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.stability == "stable");
  CHECK(outcome.growth_per_s == -0.25);
  CHECK(std::isnan(outcome.period_s)); // it decays without swinging

  solution.report.growth = 0.5;
  solution.report.frequency = 3.141592653589793;
  solution.report.unstable = true;
  outcome = make_outcome(small_cooler(), solution, ten_watts());
  CHECK(outcome.stability == "unstable");
  CHECK_THAT(outcome.period_s, WithinRel(2.0, rounding));
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
