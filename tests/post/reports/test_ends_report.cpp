#include "post/reports/ends_report.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using Catch::Matchers::WithinRel;
using tiltfin::tests::ContainsSubstring;

namespace {

const CoreLimit limit_60{20.0, 80.0, 0.0};

ReportContext context_of(const char* title) {
  ReportContext context;
  context.title = title;
  context.core = limit_60;
  return context;
}

HeatRow heat_row(const char* group, HeatAccount account, double convection_w) {
  HeatRow row;
  row.account = account;
  row.part = group;
  row.group = group;
  row.convection_w.value = convection_w;
  return row;
}

/// Conditions in which fins and base give `air` of a heat that grows with the rise to the air.
PlaneResults plane(double conductance_w_per_k, double air) {
  PlaneResults results;
  for (const double rise : {20.0, 40.0, 80.0}) {
    Outcome outcome;
    outcome.panel = "on";
    outcome.orientation = "flat-up";
    outcome.status = SolveStatus::converged;
    outcome.power_w = conductance_w_per_k * rise;
    outcome.base_rise_mean_k = {rise, 0.01 * rise};
    const double heat = air * outcome.power_w;
    outcome.heat = {heat_row("fin", HeatAccount::parts, 0.75 * heat),
                    heat_row("base", HeatAccount::parts, 0.25 * heat),
                    heat_row("board", HeatAccount::parts, 0.1), // of air, too, but no cooler
                    heat_row("fin", HeatAccount::groups, 0.75 * heat)};
    results.outcomes.push_back(outcome);
  }
  results.trend = make_trends(results.outcomes, context_of("t")).front();
  return results;
}

} // namespace

TEST_CASE("Ends report: air adds up, what else there is counts once", "[ends]") {
  const EndsRow row =
      ends_row(plane(0.5, 0.6), plane(0.4, 0.5), limit_60, true); // air 0.3, 0.2 W/K
  CHECK_THAT(row.first.power_w.value, WithinRel(30.0, 1e-6));
  CHECK_THAT(row.lower.power_w.value, WithinRel(30.0, 1e-6));
  CHECK_THAT(row.upper.power_w.value, WithinRel(60.0 * (0.2 + 0.5), 1e-6));
  CHECK_THAT(
      row.likely_low.power_w.value,
      WithinRel(60.0 * (0.2 + std::pow(std::pow(0.3, 2.5) + std::pow(0.2, 2.5), 0.4)), 1e-6));
  CHECK_THAT(row.upper.second_share, WithinRel(0.4, 1e-9));
  CHECK(row.upper.power_w.error > 0.0);
  CHECK(row.status == SolveStatus::converged);
  // The second plane alone gives more to the air: then that is the least.
  const EndsRow other = ends_row(plane(0.4, 0.5), plane(0.5, 0.6), limit_60, false);
  CHECK_THAT(other.lower.power_w.value, WithinRel(60.0 * (0.2 + 0.3), 1e-6));
  CHECK(std::isnan(other.likely_low.power_w.value));
}

TEST_CASE("Ends report: table, csv and json name the limits", "[ends]") {
  EndsReport report;
  report.context = context_of("A stack");
  report.rows = {ends_row(plane(0.5, 0.6), plane(0.4, 0.5), limit_60, true)};
  report.notes = {"A note."};
  const std::string table = ends_table(report);
  CHECK_THAT(table, ContainsSubstring("on, flat-up: 30.0") &&
                        ContainsSubstring("W, likely 32.4 to 37.7 W."));
  CHECK_THAT(table, ContainsSubstring("40 %") && ContainsSubstring("A note."));
  CHECK_THAT(ends_csv(report),
             ContainsSubstring("lower_w,lower_error_w") && ContainsSubstring("on,flat-up,30"));
  CHECK_THAT(ends_json(report), ContainsSubstring("\"second_plane_power_limit_w\": 24.0") &&
                                    ContainsSubstring("\"upper_w\": 4"));
  report.rows.front() = ends_row(plane(0.5, 0.6), {{}, plane(0.4, 0.5).trend}, limit_60, true);
  CHECK_THAT(ends_table(report), ContainsSubstring("No panel state and orientation has a limit"));
}
