#include "post/reports/report.hpp"
#include "post/reports/summary.hpp"
#include "post/reports/why.hpp"
#include "tests/catch.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <array>
#include <sstream>
#include <utility>

namespace tiltfin::tests {
namespace {

/// Characters of a UTF-8 text.
std::size_t n_characters(const std::string& text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) {
    return (static_cast<unsigned>(c) & 0xC0U) != 0x80U;
  }));
}

/// Rises in proportion to power: `k_per_w` with each finish, upright and flat.
std::vector<TrendRow> finish_trends(std::array<double, 2> bare, std::array<double, 2> black) {
  std::vector<Outcome> outcomes;
  const auto add = [&](const std::string& finish, const std::array<double, 2>& k_per_w) {
    for (const std::size_t k : {0U, 1U}) {
      outcomes.push_back(
          outcome_of("on-" + finish, k == 0 ? "upright" : "flat-up", 10.0, 10.0 * k_per_w[k]));
      outcomes.back().finish = finish;
    }
  };
  add("bare", bare);
  add("black", black);
  return make_trends(outcomes, context_of());
}

} // namespace

TEST_CASE("Report: the readable table says what turning costs, in 100 columns", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  for (const double power : {10.0, 20.0, 30.0, 40.0, 50.0, 60.0}) {
    outcomes.push_back(
        outcome_of("a-panel-state-with-a-very-long-name", "flat-down", power, power));
    outcomes.back().warnings = {"a warning with so many words that it cannot possibly stand in one "
                                "line of the table but has to be wrapped"};
  }
  ReportContext context = context_of();
  context.notes = {"A note."};
  const std::vector<TrendRow> trends = make_trends(outcomes, context);
  const std::string table = readable_table(outcomes, trends, context);
  for (const char* part :
       {"A case of the tests", "flat-up: 50 % less power than upright", "* extrapolated",
        "40.0 ±0.4", "A note.", "Cautions", "licensed", "chip maker", "local codes", "burn"}) {
    CHECK_THAT(table, ContainsSubstring(part));
  }
  // The six warnings of one kind are one, at the largest power.
  CHECK_THAT(table, ContainsSubstring("flat-down, 60 W (and 5 more): a warning"));
  CHECK(table.find("flat-down") < table.find("upright")); // 60 W, the best, comes first
  std::istringstream lines(table);
  for (std::string line; std::getline(lines, line);) {
    INFO(line);
    CHECK(n_characters(line) <= 100);
  }
}

TEST_CASE("Report: the readable table says how long a soak must be", "[report]") {
  const std::vector<Outcome> outcomes = two_orientations();
  std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  REQUIRE(trends.size() == 2);
  CHECK_THAT(readable_table(outcomes, trends, context_of()), !ContainsSubstring("A soak"));
  trends[0].settling_time_s.value = 1500.0;
  CHECK_THAT(readable_table(outcomes, trends, context_of()),
             ContainsSubstring("A soak comes within 1 % of its end in 25 min (" + trends[0].panel +
                               ", " + trends[0].orientation + "): of"));
  trends[1].settling_time_s.value = 4080.0;
  CHECK_THAT(readable_table(outcomes, trends, context_of()),
             ContainsSubstring("25 min (" + trends[0].panel + ", " + trends[0].orientation +
                               ") to 68 min (" + trends[1].panel + ", "));
}

TEST_CASE("Report: the range of the Boussinesq approximation is said once, not row by row",
          "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  const auto table = [&] {
    return readable_table(outcomes, make_trends(outcomes, context_of()), context_of());
  };
  CHECK_THAT(table(), !ContainsSubstring("Boussinesq"));
  for (Outcome& outcome : outcomes) {
    outcome.expansion_number =
        outcome.power_w / 100.0 + (outcome.orientation == "upright" ? 0.0 : 0.05);
    if (outcome.expansion_number > largest_expansion_number) {
      outcome.warnings = {"expansion number 0.150 is above 0.1 (Boussinesq)"};
    }
  }
  const std::string text = table();
  CHECK_THAT(text, ContainsSubstring("3 of 4 conditions") && ContainsSubstring("to 0.25: ") &&
                       ContainsSubstring("panel-on, flat-up from 10 W") &&
                       ContainsSubstring("upright from 20 W") &&
                       ContainsSubstring("-0.3 to +1.8 %") && !ContainsSubstring("Warnings"));
  CHECK(text.find("Boussinesq") == text.rfind("Boussinesq"));
}

TEST_CASE("Report: the table tells why at the powers of why.csv, added ones too", "[report]") {
  // 2 and 4 K/W, limit 60 K: 30 and 15 W. 14 W, added to both, is nearer to 15 W than 10 and 20.
  std::vector<Outcome> outcomes = two_orientations();
  for (const auto& [orientation, k_per_w] : {std::pair{"upright", 2.0}, {"flat-up", 4.0}}) {
    outcomes.push_back(outcome_of("panel-on", orientation, 14.0, 14.0 * k_per_w));
    outcomes.back().origin = PowerOrigin::added;
  }
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  const std::vector<Why> whys = explain(outcomes, trends, context_of());
  REQUIRE(whys.size() == 1);
  CHECK(whys[0].power_w == 14.0);
  CHECK_THAT(readable_table(outcomes, trends, context_of()),
             ContainsSubstring("28.0 K warmer at 14 W than upright"));
}

TEST_CASE("Report: powers that were added show in the limits and nowhere else but the why",
          "[report]") {
  // 2 and 4 K/W, limit 60 K: 30 and 15 W; 28 and 31.5 W are close around the first.
  std::vector<Outcome> outcomes = two_orientations();
  for (const double power : {28.0, 31.5}) {
    outcomes.push_back(outcome_of("panel-on", "upright", power, 2.0 * power));
    outcomes.back().origin = PowerOrigin::added;
  }
  std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  CHECK_THAT(trends[0].limit.power_w.value, WithinRel(30.0, 1e-9));
  CHECK(trends[0].limit.parts.basis == LimitBasis::bracketed);
  CHECK(trends[1].limit.parts.basis == LimitBasis::interpolated); // 10 to 20 W
  CHECK(trends[0].trend.n_points == 2);
  std::string text = readable_table(outcomes, trends, context_of());
  CHECK_THAT(text, ContainsSubstring("solved on both sides: panel-on, upright 28 to 31.5 W") &&
                       !ContainsSubstring("* extrapolated") && !ContainsSubstring("28 W"));
  // What examination changed at the nearest listed power, 1 %, is in the error bar of an added one.
  CHECK(trends[0].limit.parts.flow_w == 0.0);
  for (Outcome& outcome : outcomes) {
    outcome.steady_rise_k = outcome.base_rise_mean_k.value / 1.01;
  }
  trends = make_trends(outcomes, context_of());
  CHECK_THAT(trends[0].limit.parts.flow_w, WithinRel(0.01 * 63.0 / 2.0, 1e-9)); // the higher end
  // One that did not converge ends the search; the row says so, its status is of the listed ones.
  outcomes.pop_back();
  outcomes.back().status = SolveStatus::not_converged;
  trends = make_trends(outcomes, context_of());
  CHECK(trends[0].limit.extrapolated);
  CHECK(trends[0].limit.status == SolveStatus::converged);
  CHECK_THAT(readable_table(outcomes, trends, context_of()),
             ContainsSubstring("upright: no convergence at 28 W"));
}

TEST_CASE("Report: an outcome of an earlier version is read as one of a listed power", "[report]") {
  std::string text = outcome_to_json(outcome_of("on", "upright", 10.0, 20.0));
  for (const char* key : {"power_is", "steady_rise_k"}) {
    const std::size_t begin = text.find(std::string("\"") + key);
    REQUIRE(begin != std::string::npos);
    text.erase(begin, text.find('"', text.find_first_of(",", begin)) - begin);
  }
  const Outcome outcome = outcome_from_json(text);
  CHECK(is_listed(outcome));
  CHECK(std::isnan(outcome.steady_rise_k));
}

TEST_CASE("Report: the readable table sets the finish against turning", "[report]") {
  const auto table = [](std::array<double, 2> bare, std::array<double, 2> black) {
    const std::vector<TrendRow> trends = finish_trends(bare, black);
    std::istringstream words(readable_table({}, trends, context_of()));
    std::string text; // lines joined again
    for (std::string word; words >> word;) {
      text += word + " ";
    }
    return text;
  };
  // Limits go as one over the resistances. Upright 3 : 2, flat 5 : 2.5; turning 5 : 3 and 2.5 : 2.
  const std::string mixed = table({3.0, 5.0}, {2.0, 2.5});
  for (const char* part : {"What the finish is worth", "on, upright: 50 % more power with black",
                           "flat-up: 100 % more power with black than with bare",
                           "bare: 67 % more power upright than flat-up",
                           "black: 25 % more power upright than flat-up", "always outweighs"}) {
    CHECK_THAT(mixed, ContainsSubstring(part));
  }
  CHECK_THAT(table({4.0, 4.4}, {2.0, 2.1}),
             ContainsSubstring("finish is worth more than the orientation"));
  CHECK_THAT(table({4.0, 9.0}, {3.8, 8.0}),
             ContainsSubstring("orientation is worth more than the finish"));
  // Without finishes to compare there is nothing to say.
  const std::vector<Outcome> outcomes = two_orientations();
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  CHECK(readable_table(outcomes, trends, context_of()).find("finish") == std::string::npos);
}

} // namespace tiltfin::tests
