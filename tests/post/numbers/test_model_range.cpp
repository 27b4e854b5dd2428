#include "post/numbers/model_range.hpp"
#include "post/numbers/outcome.hpp"
#include "tests/catch.hpp"
#include "tests/post/fixtures.hpp"

#include <algorithm>
#include <string>
#include <vector>

namespace tiltfin::tests {
namespace {

/// A row as those of the shipped cases are.
RowFacts sound_row() {
  return {.base_mean_c = {70.0, 0.5},
          .base_max_c = 71.0,
          .core_c = 80.0,
          .room_c = 25.0,
          .coldest_c = 25.0,
          .rise_k = 46.0,
          .largest_rise_k = 47.0,
          .undershoot_k = 0.05,
          .expansion_number = 0.15};
}

struct RowRule {
  const char* what;
  RowFacts facts;
  Standing standing;
};

RowFacts with(double RowFacts::*member, double value) {
  RowFacts facts = sound_row();
  facts.*member = value;
  return facts;
}

RowFacts with_base(double mean_c, double error_k) {
  RowFacts facts = sound_row();
  facts.base_mean_c = {mean_c, error_k};
  return facts;
}

/// A wall at 10 degC takes the heat.
RowFacts with_cold_walls(double mean_c) {
  RowFacts facts = with_base(mean_c, 1.1);
  facts.coldest_c = 10.0;
  return facts;
}

} // namespace

TEST_CASE("Model range: every rule of a row on either side of its bound", "[model_range]") {
  // Bounds: melting of solder 217 degC, a chip's package 300 degC (handbooks, from memory), the
  // published cavity between 240 and 960 K 0.6, a hundredth and a quarter of 46 and 47 K.
  const std::vector<RowRule> rules{
      {"as shipped", sound_row(), Standing::sound},
      {"solder holds", with(&RowFacts::base_max_c, 216.9), Standing::sound},
      {"solder melts", with(&RowFacts::base_max_c, 217.1), Standing::outside},
      {"core holds", with(&RowFacts::core_c, 299.0), Standing::sound},
      {"core burns", with(&RowFacts::core_c, 301.0), Standing::outside},
      {"within a comparison", with(&RowFacts::expansion_number, 0.59), Standing::sound},
      {"beyond any", with(&RowFacts::expansion_number, 0.61), Standing::outside},
      {"cold, within its error", with_base(24.0, 1.1), Standing::sound},
      {"cold, beyond its error", with_base(23.0, 1.1), Standing::outside},
      {"cold walls, within its error", with_cold_walls(24.0), Standing::sound},
      {"cold walls", with_cold_walls(23.0), Standing::doubtful},
      {"air too cold to pass over", with(&RowFacts::undershoot_k, 0.47), Standing::doubtful},
      {"air far too cold", with(&RowFacts::undershoot_k, 12.0), Standing::outside},
      {"nothing known", {}, Standing::sound},
  };
  for (const RowRule& rule : rules) {
    CAPTURE(rule.what);
    const Judgement found = judge_row(rule.facts);
    CHECK(found.standing == rule.standing);
    CHECK(found.reasons.empty() == (rule.standing == Standing::sound));
  }
}

TEST_CASE("Model range: a limit far from what was solved, or that melts solder", "[model_range]") {
  const auto standing = [](double power_w, double base_c) {
    return judge_limit({.power_w = power_w,
                        .lowest_solved_w = 10.0,
                        .highest_solved_w = 40.0,
                        .base_c = base_c})
        .standing;
  };
  CHECK(standing(112.0, 100.0) == Standing::sound);
  CHECK(standing(399.0, 100.0) == Standing::sound);
  CHECK(standing(401.0, 100.0) == Standing::doubtful); // more than a decade
  CHECK(standing(0.99, 100.0) == Standing::doubtful);
  CHECK(standing(4001.0, 100.0) == Standing::outside);
  CHECK(standing(1e15, 100.0) == Standing::outside);
  CHECK(standing(30.0, 250.0) == Standing::outside);
  CHECK(standing(nan, 250.0) == Standing::sound); // no limit: nothing to judge
  CHECK(judge_limit({.power_w = 5.0}).standing == Standing::sound);
}

TEST_CASE("Model range: the worst reason stands first and names its kind", "[model_range]") {
  RowFacts facts = sound_row();
  facts.undershoot_k = 1.0;
  facts.base_max_c = 600.0;
  const Judgement found = judge_row(facts);
  REQUIRE(found.reasons.size() == 2);
  CHECK(found.reasons[0].rfind("outside the model: ", 0) == 0);
  CHECK_THAT(found.reasons[0], ContainsSubstring("600"));
  CHECK(found.reasons[1].rfind("air computed", 0) == 0);
  CHECK(with_standing("converged", found.standing) == "converged, outside the model");
  CHECK(with_standing("converged", Standing::sound) == "converged");
  CHECK(with_standing("", Standing::doubtful) == "doubtful");
}

TEST_CASE("Model range: an outcome is judged by its own numbers", "[model_range][outcome]") {
  OutcomeContext context;
  context.panel = "on";
  context.orientation = "upright";
  context.power_w = 10.0;
  // The base of the fixture is warmer than the room of 25 degC by what it is given.
  const auto outcome = [&](double rise) {
    return make_outcome(small_cooler(), small_solution(0.0, -9.8, rise), context);
  };
  CHECK(outcome(40.0).standing == Standing::sound);
  const Outcome hot = outcome(500.0);
  CHECK(hot.status == SolveStatus::converged);
  CHECK(hot.standing == Standing::outside);
  CHECK(std::ranges::any_of(hot.warnings, [](const std::string& warning) {
    return warning.starts_with("outside the model: a base at 525");
  }));
}

} // namespace tiltfin::tests
