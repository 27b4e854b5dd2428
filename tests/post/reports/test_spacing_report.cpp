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
    report.points.push_back({{"fins-n", 8, gap, 1.5, 30.0},
                             "on",
                             "upright",
                             gap == 5.0 ? 20.0 : 25.0,
                             0.5,
                             "converged",
                             stability_skipped,
                             {}});
  }
  report.points[1].examined = {22.0, 0.5, "time average", "unstable"};
  SpacingBest best;
  best.layout = report.points[1].layout;
  best.panel = "on";
  best.orientation = "upright";
  best.rise_k = 20.0;
  best.error_k = 0.5;
  best.drawn_rise_k = 25.0;
  best.drawn_error_k = 0.5;
  best.low_gap_mm = best.high_gap_mm = 5.0;
  best.closed_form_mm = 4.8;
  TrendRow row;
  row.orientation = "upright";
  row.limit = {33.0, true};
  row.power_limit_error_w = 0.4;
  row.status = "converged";
  best.limits = {row};
  report.best = {best};
  return report;
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
      ContainsSubstring("on,upright,10,8,3,1.5,30,25,0.5,2.5,converged,skipped,,,,,fins-n") &&
          ContainsSubstring("on,upright,10,8,5,1.5,30,20,0.5,2,converged,skipped,22,0.5,time "
                            "average,unstable,fins-n"));
  CHECK_THAT(spacing_json(report), ContainsSubstring("\"closed_form_mm\": 4.8"));
  const std::string chart = spacing_chart(report, 1.5, 30.0);
  CHECK_THAT(chart, ContainsSubstring("on, upright") && ContainsSubstring("formula, on, upright"));
  CHECK_THAT(spacing_chart(report, 2.0, 30.0), !ContainsSubstring("on, upright"));
}

TEST_CASE("Spacing report: what examining stability came to is said beside the ranked rise",
          "[spacing_report]") {
  SpacingReport report = small_report();
  CHECK_THAT(spacing_table(report), ContainsSubstring("22.0 ±0.5  air leaves it: mean over time") &&
                                        ContainsSubstring("the others were not examined"));
  const auto said_of = [&](const ExaminedPoint& examined) {
    report.points[1].examined = examined;
    return spacing_table(report);
  };
  CHECK_THAT(said_of({20.4, 0.5, "converged", "stable"}), ContainsSubstring("20.4 ±0.5  stable"));
  CHECK_THAT(said_of({21.5, 0.2, "converged", "stable"}),
             ContainsSubstring("another steady flow, stable"));
  CHECK_THAT(said_of({20.0, 0.5, "time average", "not examined"}),
             ContainsSubstring("no steady state: mean over time"));
  CHECK_THAT(said_of({20.0, 0.5, "converged", "unstable"}),
             ContainsSubstring("unstable, followed to nothing settled"));
  CHECK_THAT(said_of({20.0, 0.5, "not converged", "not examined"}),
             ContainsSubstring("20.0 ±0.5  not converged"));
  report.best[0].error_k = std::nan("");
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
