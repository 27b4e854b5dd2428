#include "post/reports/report.hpp"
#include "tests/catch.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <array>
#include <sstream>

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
