#include "post/reports/tilt_facts.hpp"
#include "post/reports/tilt_report.hpp"
#include "tests/catch.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <regex>

namespace tiltfin::tests {
namespace {

TiltPoint point_at(double tilt_deg, double rise) {
  TiltPoint point;
  point.panel = "panel-on";
  point.tilt_deg = tilt_deg;
  point.power_w = 10.0;
  point.rising = outcome_of("panel-on", "tilt", 10.0, rise);
  point.rising.base_rise_mean_k.error = 0.1;
  point.rising.feeding = Feeding::fed;
  point.rising.air_into_fins_c.value = 25.0 + 0.5 * rise;
  point.rising.through_flow_g_per_s.value = 3.0 / rise;
  point.falling = point.rising;
  return point;
}

TiltPoint two_at(double tilt_deg, double rising, double falling) {
  TiltPoint point = point_at(tilt_deg, rising);
  point.falling = point_at(tilt_deg, falling).rising;
  point.are_two = true;
  return point;
}

/// With one blank where the lines break.
std::string unwrapped(const std::string& text) {
  return std::regex_replace(text, std::regex("\\s+"), " ");
}

/// Rises at 0, 30, 60 ... degrees, round.
TiltReport round_trip(const std::vector<double>& rises) {
  TiltReport report;
  report.context = context_of();
  report.is_closed = true;
  for (std::size_t k = 0; k < rises.size(); ++k) {
    report.points.push_back(point_at(30.0 * static_cast<double>(k), rises[k]));
  }
  add_limits(report);
  return report;
}

const std::vector<double> smooth{20.0, 20.3, 20.6, 20.9, 21.2, 21.5,
                                 21.8, 21.5, 21.2, 20.9, 20.6, 20.3};

} // namespace

TEST_CASE("Tilts: the rise at one angle that stands out is two jumps", "[tilts]") {
  std::vector<double> rises = smooth;
  CHECK(jumps_of(curves_of(round_trip(rises)).front(), true).empty());
  rises[2] += 8.0;
  const TiltReport report = round_trip(rises);
  const std::vector<TiltJump> jumps = jumps_of(curves_of(report).front(), true);
  REQUIRE(jumps.size() == 2);
  for (const TiltJump& jump : jumps) {
    CHECK((jump.from->tilt_deg == 60.0 || jump.to->tilt_deg == 60.0));
    CHECK(jump.way == SweepWay::both);
  }
  const std::string table = unwrapped(tilt_table(report));
  CHECK_THAT(table, ContainsSubstring("30° to 60°"));
  CHECK_THAT(table, ContainsSubstring("solved from both sides, each angle has one flow"));
  // 3 / 20.3 g/s to 3 / 28.6 g/s, and half of the 8.3 K is the air's.
  CHECK_THAT(table, ContainsSubstring("0.148 g/s to 0.105 g/s"));
  CHECK_THAT(explanation(jumps[0].before(), jumps[0].after()), ContainsSubstring("of the"));
}

TEST_CASE("Tilts: error bars that overlap are no jump", "[tilts]") {
  std::vector<double> rises = smooth;
  rises[2] += 8.0;
  TiltReport report = round_trip(rises);
  for (TiltPoint& point : report.points) {
    point.rising.base_rise_mean_k.error = point.falling.base_rise_mean_k.error = 4.5;
  }
  CHECK(jumps_of(curves_of(report).front(), true).empty());
}

TEST_CASE("Tilts: ranges with two flows reach over the end of a turn", "[tilts]") {
  TiltReport report = round_trip(smooth);
  report.points[0] = two_at(0.0, 20.0, 22.0);
  report.points[11] = two_at(330.0, 20.3, 24.0);
  report.points[5] = two_at(150.0, 21.5, 21.0);
  add_limits(report);
  const std::vector<TwoFlows> ranges = two_flows_of(curves_of(report).front(), true);
  REQUIRE(ranges.size() == 2);
  CHECK(ranges[0].from->tilt_deg == 330.0);
  CHECK(ranges[0].to->tilt_deg == 0.0);
  CHECK(ranges[0].widest->tilt_deg == 330.0);
  CHECK(ranges[1].from->tilt_deg == 150.0);
  CHECK(two_flows_of(curves_of(report).front(), false).size() == 3);
  CHECK_THAT(unwrapped(tilt_table(report)),
             ContainsSubstring("from 330° to 0° (upright), at 330° with"));
  CHECK(tilt_table(report).find("cools alike") == std::string::npos);
  TiltReport wandering = report;
  for (Outcome* mean : {&wandering.points[11].rising, &wandering.points[11].falling}) {
    mean->status = SolveStatus::time_average;
    mean->base_rise_mean_k.error = 2.0;
  }
  CHECK_THAT(unwrapped(tilt_table(wandering)),
             ContainsSubstring("at 330° the two ways came to air that moves "
                               "differently in places but cools alike"));
  const std::vector<TwoFlows> apart = two_flows_of(curves_of(wandering).front(), true);
  REQUIRE(apart.size() == 2); // 0 and 150 degrees
  CHECK(apart[0].widest->tilt_deg == 0.0);
  // Rows of both flows, each with the rise of the other.
  const std::string csv = tilts_csv(report);
  CHECK_THAT(csv,
             ContainsSubstring("panel-on,,330,,10,rising,no,converged,,not examined,20.3,0.1,24"));
  CHECK_THAT(csv,
             ContainsSubstring("panel-on,,330,,10,falling,no,converged,,not examined,24,0.1,20.3"));
  CHECK_THAT(csv, ContainsSubstring("panel-on,,90,flat-up,10,both,no"));
}

TEST_CASE("Tilts: the worse flow counts for best and worst, beside which angles are wanted",
          "[tilts]") {
  TiltReport report = round_trip(smooth);
  report.points[0] = two_at(0.0, 20.0, 22.0);
  add_limits(report);
  const BestAndWorst found = best_and_worst(report, "panel-on");
  REQUIRE(found.best != nullptr);
  CHECK(found.best->tilt_deg == 30.0); // upright has 20 K, but 22 K too
  CHECK(found.worst->tilt_deg == 0.0);
  // 60 K of limit over 2.03 K/W and 2.2 K/W.
  CHECK_THAT(found.best->lower().power_w.value, WithinRel(60.0 / 2.03, 1e-9));
  CHECK_THAT(found.worst->lower().power_w.value, WithinRel(60.0 / 2.2, 1e-9));
  // Beside 0 and 30; and half way to where the second flow ends, for it ends in a jump.
  CHECK(wanted_angles(report, "panel-on") ==
        std::vector<double>{5.0, 15.0, 25.0, 35.0, 345.0, 355.0});
  // An open range has nothing beyond its ends.
  report.is_closed = false;
  CHECK(wanted_angles(report, "panel-on") == std::vector<double>{5.0, 15.0, 25.0, 35.0});
  CHECK(wanted_angles(report, "panel-off").empty());
}

TEST_CASE("Tilts: a jump is halved until it is known to five degrees", "[tilts]") {
  std::vector<double> rises = smooth;
  for (std::size_t k = 2; k < 12; ++k) {
    rises[k] += 8.0; // a step between 30 and 60, and back between 330 and 0
  }
  TiltReport report = round_trip(rises);
  const auto wants = [&](double angle) {
    const std::vector<double> wanted = wanted_angles(report, "panel-on");
    return std::ranges::find(wanted, angle) != wanted.end();
  };
  CHECK(wants(45.0));
  CHECK(wants(345.0));
  TiltPoint added = point_at(45.0, 28.5);
  added.is_added = true;
  report.points.insert(report.points.begin() + 2, added);
  add_limits(report);
  CHECK(wants(35.0));
  CHECK_THAT(unwrapped(tilt_table(report)), ContainsSubstring("most of it from 30° to 45°"));
  CHECK_FALSE(wants(50.0));
}

TEST_CASE("Tilts: the chart shows both flows, the named orientations and no rows without a value",
          "[tilts]") {
  TiltReport report = round_trip(smooth);
  CHECK(tilt_chart(report, "panel-on").find("stroke-dasharray") == std::string::npos);
  report.points[3] = two_at(90.0, 20.9, 25.0);
  report.points[4].rising.status = report.points[4].falling.status = SolveStatus::not_converged;
  add_limits(report);
  const std::string svg = tilt_chart(report, "panel-on");
  CHECK_THAT(svg, ContainsSubstring("stroke-dasharray"));
  for (const char* name : {"upright 0°", "flat-up", "upside-down 180°", "flat-down", "10 W"}) {
    CHECK_THAT(svg, ContainsSubstring(name));
  }
  CHECK(svg.find("nan") == std::string::npos);
  CHECK_THAT(unwrapped(tilt_table(report)), ContainsSubstring("2 did not converge"));
}

} // namespace tiltfin::tests
