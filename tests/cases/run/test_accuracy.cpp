#include "cases/run/accuracy.hpp"
#include "cases/run/run.hpp"
#include "post/numbers/error_estimate.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;
using Catch::Matchers::WithinRel;

namespace {

Case tiny_case() {
  return parse_case(tiny_case_text("[2]", "[\"upright\"]"), "tiny.toml");
}

NestedOptions quick_options(const Case& the_case) {
  NestedOptions options;
  options.examine_stability = false;
  options.calm = the_case.calm;
  options.resolution = the_case.resolution;
  return options;
}

/// The tiny case upright at 2 W, as the solver sees it.
struct StandingBlock {
  Case the_case = tiny_case();
  Condition condition{0.0, -9.8, 2.0};
  AirRule air{the_case.air, the_case.room_temperature};
  NestedOptions options = quick_options(the_case);

  [[nodiscard]] const Section& section() const { return the_case.panels[0].sections.front(); }
  [[nodiscard]] Solution solved() const { return solve_nested(section(), condition, air, options); }
  [[nodiscard]] Refinement refined(const AccuracyWish& wish, const Solution& first) const {
    return refine_to(wish, section(), condition, air, options, first);
  }
};

Outcome outcome_with(double relative, int max_cells) {
  RunOptions options;
  options.jobs = 1;
  options.accuracy = {relative, max_cells};
  return run_case(tiny_case(), options, {}).outcomes.at(0);
}

} // namespace

TEST_CASE("Accuracy: a percentage with or without its sign", "[accuracy]") {
  CHECK_THAT(parse_percent("1%"), WithinRel(0.01, 1e-14));
  CHECK_THAT(parse_percent("0.5 %"), WithinRel(0.005, 1e-14));
  CHECK_THAT(parse_percent("2"), WithinRel(0.02, 1e-14));
  for (const char* wrong : {"", "%", "0%", "-1%", "101%", "one", "1%%", "1 K", "nan", "inf"}) {
    CAPTURE(wrong);
    CHECK_THROWS_AS(parse_percent(wrong), std::invalid_argument);
  }
}

TEST_CASE("Accuracy: refines until the estimate is within the wish", "[accuracy][slow]") {
  const Outcome plain = outcome_with(0.0, 60000);
  const double wish = 0.5 * plain.base_rise_mean_k.error / plain.base_rise_mean_k.value;
  REQUIRE(wish > 0.0);
  const Outcome finer = outcome_with(wish, 60000);
  CHECK(finer.status == SolveStatus::converged);
  CHECK(finer.cells > plain.cells);
  CHECK(finer.base_rise_mean_k.error / finer.base_rise_mean_k.value <= wish);
  CHECK(finer.base_rise_mean_k.value != plain.base_rise_mean_k.value);
  for (const std::string& warning : finer.warnings) {
    CAPTURE(warning);
    CHECK(warning.find("wished") == std::string::npos);
  }
}

TEST_CASE("Accuracy: says what it would cost where that is not allowed", "[accuracy]") {
  const Outcome plain = outcome_with(0.0, 60000);
  const Outcome refused = outcome_with(1e-6, plain.cells);
  CHECK(refused.cells == plain.cells);
  CHECK(refused.base_rise_mean_k.value == plain.base_rise_mean_k.value);
  REQUIRE(!refused.warnings.empty());
  CHECK_THAT(refused.warnings.back(), ContainsSubstring("wished 0.0001 %"));
  CHECK_THAT(refused.warnings.back(), ContainsSubstring("thousand cells"));
}

TEST_CASE("Accuracy: what is no result is not refined", "[accuracy]") {
  const Refinement result = StandingBlock{}.refined({0.01, 1000}, {});
  CHECK_THAT(result.verdict, ContainsSubstring("not examined"));
  CHECK(result.solution.report.status == SolveStatus::not_converged);
}

TEST_CASE("Accuracy: where no coarse mesh holds the flow, the mesh before gives the estimate",
          "[accuracy]") {
  const StandingBlock tiny;
  Solution lone = tiny.solved();
  REQUIRE(lone.report.status == SolveStatus::converged);
  const int cells = lone.problem.mesh.n_cells();
  lone.coarse_problem.reset();
  lone.coarse_state.reset();
  const Refinement refined = tiny.refined({0.5, 60000}, lone);
  CHECK(refined.verdict.empty());
  CHECK(refined.solution.problem.mesh.n_cells() > cells);
  REQUIRE(refined.solution.coarse_problem.has_value());
  // Too few cells allowed for the mesh that would tell: said, and nothing is lost.
  const Refinement refused = tiny.refined({0.5, cells}, lone);
  CHECK_THAT(refused.verdict, ContainsSubstring("no other mesh holds this flow"));
  CHECK(refused.solution.problem.mesh.n_cells() == cells);
}

TEST_CASE("Accuracy: a mean that fluctuation leaves uncertain is not refined", "[accuracy]") {
  const StandingBlock tiny;
  Solution mean = tiny.solved();
  mean.report.status = SolveStatus::time_average;
  mean.report.sampling = 5.0; // kelvin
  const Refinement refined = tiny.refined({0.01, 60000}, mean);
  CHECK_THAT(refined.verdict, ContainsSubstring("uncertain by"));
  CHECK(refined.solution.problem.mesh.n_cells() == mean.problem.mesh.n_cells());
}
