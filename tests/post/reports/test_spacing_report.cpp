#include "post/numbers/best_gap.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/spacing_report.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

SpacingReport small_report() {
  SpacingReport report;
  report.context.title = "a block";
  report.power_w = 10.0;
  report.size_text = "80 mm along y";
  report.limits_text = "Gaps of 2 mm or more";
  report.weights_text = "upright 100 %";
  for (const double gap : {3.0, 5.0, 9.0}) {
    report.points.push_back(
        {{"fins-n", 8, gap, 1.5, 30.0},
         "on",
         "upright",
         {{gap == 5.0 ? 20.0 : 25.0, 0.5}, SolveStatus::converged, Stability::skipped},
         {}});
  }
  report.points[1].examined =
      SolvedRise{{22.0, 0.5}, SolveStatus::time_average, Stability::unstable};
  SpacingBest best;
  best.layout = report.points[1].layout;
  best.panel = "on";
  best.orientation = "upright";
  best.rise_k = {20.0, 0.5};
  best.drawn_rise_k = {25.0, 0.5};
  best.low_gap_mm = best.high_gap_mm = 5.0;
  best.closed_form_mm = 4.8;
  TrendRow row;
  row.orientation = "upright";
  row.limit = {{33.0, 0.4}, true, SolveStatus::converged, false};
  best.limits = {row};
  report.best = {best};
  return report;
}

SolvedRise solved(double rise_k, double error_k, SolveStatus status, Stability stability) {
  return {{rise_k, error_k}, status, stability};
}

} // namespace

TEST_CASE("Spacing report: table, csv, json and chart say the best gap and its limit",
          "[spacing_report]") {
  const SpacingReport report = small_report();
  const std::string table = spacing_table(report);
  CHECK_THAT(table, ContainsSubstring("5.00") && ContainsSubstring("8 x 1.5 x 30") &&
                        ContainsSubstring("20.0 ±0.5") && ContainsSubstring("33.0 ±0.4*") &&
                        ContainsSubstring("4.8") && ContainsSubstring("hot enough to burn"));
  CHECK_THAT(
      spacing_csv(report),
      ContainsSubstring("on,upright,10,8,3,1.5,30,25,0.5,2.5,converged,,skipped,,,,,fins-n") &&
          ContainsSubstring("on,upright,10,8,5,1.5,30,20,0.5,2,converged,,skipped,22,0.5,time "
                            "average,unstable,fins-n"));
  CHECK_THAT(spacing_json(report), ContainsSubstring("\"closed_form_mm\": 4.8"));
  const std::string chart = spacing_chart(report, report.best[0].layout);
  CHECK_THAT(chart, ContainsSubstring("on, upright") && ContainsSubstring("formula, on, upright"));
  FinLayout thicker = report.best[0].layout;
  thicker.thickness_mm = 2.0;
  CHECK_THAT(spacing_chart(report, thicker), !ContainsSubstring("on, upright"));
}

TEST_CASE("Spacing report: what examining stability came to is said beside the ranked rise",
          "[spacing_report]") {
  SpacingReport report = small_report();
  CHECK_THAT(spacing_table(report), ContainsSubstring("22.0 ±0.5  air leaves it: mean over time") &&
                                        ContainsSubstring("the others were not examined"));
  const auto said_of = [&](const std::optional<SolvedRise>& examined) {
    report.points[1].examined = examined;
    return spacing_table(report);
  };
  CHECK_THAT(said_of(solved(20.4, 0.5, SolveStatus::converged, Stability::stable)),
             ContainsSubstring("20.4 ±0.5  stable"));
  CHECK_THAT(said_of(solved(21.5, 0.2, SolveStatus::converged, Stability::stable)),
             ContainsSubstring("another steady flow, stable"));
  CHECK_THAT(said_of(solved(20.0, 0.5, SolveStatus::time_average, Stability::not_examined)),
             ContainsSubstring("no steady state: mean over time"));
  CHECK_THAT(said_of(solved(20.0, 0.5, SolveStatus::converged, Stability::unstable)),
             ContainsSubstring("unstable, followed to nothing settled"));
  CHECK_THAT(said_of(solved(20.0, 0.5, SolveStatus::not_converged, Stability::not_examined)),
             ContainsSubstring("20.0 ±0.5  not converged"));
  report.best[0].rise_k.error = std::nan("");
  CHECK_THAT(said_of({}),
             ContainsSubstring(" ? ") && ContainsSubstring("a mean over time, of one"));
  report.skips_stability = true;
  const std::string skipped = said_of({});
  CHECK_THAT(skipped, ContainsSubstring("not examined, as asked for") &&
                          !ContainsSubstring("examined for the best"));
}

TEST_CASE("Spacing report: the closed form gives a worked example's gap", "[spacing_report]") {
  // Cengel and Ghajar, Heat and Mass Transfer, 5th edition, Example 9-3: 0.18 m, 80 C in 30 C,
  // k = 0.02772, nu = 1.847e-5, Pr = 0.7215, beta = 1/328 (as quoted in validation/fin_cooler):
  // 7.45 mm, printed to three digits.
  AirProperties air;
  air.density = 1.0;
  air.viscosity = 1.847e-5;
  air.conductivity = 0.02772;
  air.heat_capacity = 0.02772 * 0.7215 / 1.847e-5;
  air.expansion = 1.0 / 328.0;
  CHECK_THAT(best_gap_of_vertical_plates(0.18, 50.0, air, 9.81), WithinAbs(7.45e-3, 0.005e-3));
}

TEST_CASE("Spacing report: a best layout or limit outside the model is said",
          "[spacing_report][model_range]") {
  SpacingReport report = small_report();
  report.points[0].layout.name = "fins-other";
  CHECK_FALSE(has_best_outside(report));
  report.points[0].ranked.standing = Standing::outside; // not the best: fins too close
  CHECK_FALSE(has_best_outside(report));
  CHECK_THAT(spacing_table(report), ContainsSubstring("1 of 3 conditions: outside the model"));
  CHECK_THAT(spacing_csv(report), ContainsSubstring(",outside the model,"));
  SpacingReport limited = small_report();
  limited.best[0].limits[0].limit.standing = Standing::outside;
  limited.best[0].limits[0].limit.doubt = "a limit of 1e+15 W";
  CHECK(has_best_outside(limited));
  CHECK_THAT(spacing_table(limited), ContainsSubstring("converged, outside the model") &&
                                         ContainsSubstring("a limit of 1e+15 W"));
  for (SpacingPoint& point : report.points) {
    point.layout.name = report.best[0].layout.name;
  }
  CHECK(has_best_outside(report));
  CHECK_THAT(spacing_table(report), ContainsSubstring("WARNING: a best layout lies outside"));
}
