#include "post/reports/rank_report.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

RankedCooler cooler(const std::string& name, double mass_kg, double upright, double flat,
                    double error) {
  return {name,
          name,
          mass_kg,
          mass_kg / 2700.0,
          2700.0,
          {{{upright, error}, false, SolveStatus::converged, false},
           {{flat, error}, true, SolveStatus::converged, false}}};
}

RankReport report_of(std::vector<RankedCooler> coolers) {
  RankReport report;
  report.columns = {{"on", "upright", 0.75}, {"on", "flat-up", 0.25}};
  report.coolers = std::move(coolers);
  sort_coolers(report);
  return report;
}

} // namespace

TEST_CASE("Rank report: limits are weighted and the best comes first", "[rank_report]") {
  const RankReport report =
      report_of({cooler("thin", 0.2, 40, 80, 1), cooler("tall", 0.3, 60, 50, 1)});
  CHECK(report.coolers[0].name == "tall"); // 57.5 against 50
  CHECK_THAT(weighted_limit(report, report.coolers[0]).power_w.value, WithinAbs(57.5, 1e-9));
  CHECK_THAT(weighted_limit(report, report.coolers[0]).power_w.error, WithinAbs(1.0, 1e-9));
  const std::string words = recommendation(report);
  CHECK_THAT(words, ContainsSubstring("Take tall") && ContainsSubstring("15 % more than thin"));
  // (57.5 - 1 - 50 - 1) / 50
  CHECK_THAT(words, ContainsSubstring("margin at least 11 %"));
  CHECK_THAT(words, ContainsSubstring("in on, flat-up thin takes 60 % more"));
  CHECK_THAT(rank_table(report), ContainsSubstring("<") && ContainsSubstring("hot enough to burn"));
  CHECK_THAT(rank_csv(report), ContainsSubstring("tall,0.3") && ContainsSubstring("best"));
  CHECK_THAT(rank_chart(report), ContainsSubstring("tall, 300 g of metal"));
}

TEST_CASE("Rank report: overlapping error bars are too close to call", "[rank_report]") {
  const RankReport report =
      report_of({cooler("heavy", 0.9, 51, 51, 1), cooler("light", 0.4, 50, 50, 1),
                 cooler("poor", 0.1, 30, 30, 1)});
  const std::string words = recommendation(report);
  CHECK_THAT(words, ContainsSubstring("Too close to call: heavy and light"));
  CHECK_THAT(words, ContainsSubstring("light has the least metal of them, 400 g"));
  CHECK_THAT(words, ContainsSubstring("Against the next, poor, 70 % more"));
  CHECK_THAT(rank_csv(report), ContainsSubstring("too close to call"));
}

TEST_CASE("Rank report: limits of flows whose stability was skipped make a quick look",
          "[rank_report]") {
  RankReport report = report_of({cooler("a", 0.1, 50, 50, 1), cooler("b", 0.1, 30, 30, 1)});
  CHECK_THAT(recommendation(report), !ContainsSubstring("quick look"));
  CHECK_THAT(rank_csv(report), ContainsSubstring("best,converged,yes\n"));
  report.coolers[1].limits[0].skips_stability = true;
  CHECK_THAT(recommendation(report), ContainsSubstring("A quick look: stability was not examined"));
  CHECK_THAT(rank_csv(report), ContainsSubstring(",converged,no\n"));
}

TEST_CASE("Rank report: an unknown error bar is said", "[rank_report]") {
  const RankReport report =
      report_of({cooler("a", 0.1, 50, 50, 1), cooler("b", 0.1, 30, 30, std::nan(""))});
  CHECK_THAT(recommendation(report), ContainsSubstring("67 % more than b (an error bar is not"));
}

TEST_CASE("Rank report: a cooler without a limit that counts is not recommended", "[rank_report]") {
  const double nan = std::nan("");
  const RankReport one = report_of({cooler("a", 0.1, nan, 50, 1), cooler("b", nan, 10, 10, 1)});
  CHECK(one.coolers[0].name == "b");
  CHECK_THAT(recommendation(one), ContainsSubstring("Take b") && ContainsSubstring("only one"));
  const RankReport none = report_of({cooler("a", 0.1, nan, 50, 1), cooler("b", nan, nan, 10, 1)});
  CHECK_THAT(recommendation(none), ContainsSubstring("nothing to recommend"));
  CHECK_THAT(rank_chart(none), ContainsSubstring("no limit"));
}

TEST_CASE("Rank report: nothing is recommended by a limit outside the model",
          "[rank_report][model_range]") {
  RankReport report = report_of({cooler("thin", 0.2, 40, 80, 1), cooler("tall", 0.3, 60, 50, 1)});
  report.coolers[0].limits[1].standing = Standing::outside;
  report.coolers[0].limits[1].doubt = "a limit of 1e+15 W";
  CHECK_THAT(recommendation(report), ContainsSubstring("Nothing to recommend"));
  CHECK_THAT(rank_table(report), ContainsSubstring("!"));
  REQUIRE(doubts_of_limits(report).size() == 1);
  CHECK_THAT(doubts_of_limits(report)[0], ContainsSubstring("tall in on, flat-up: a limit of 1e"));
  CHECK_THAT(rank_csv(report), ContainsSubstring(",outside the model,"));
}
