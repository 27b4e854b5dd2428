#include "post/reports/comparison_report.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

namespace tiltfin {
namespace {

Placing placing_of_measured(const ComparedPoint& point) {
  return placing_of(point.measured);
}

/// A point as one row of compare.csv.
struct CalibratedPoint {
  ComparedPoint point;
  std::optional<double> calibrated_rise_k;
  std::optional<double> calibrated_deviation;
  std::optional<bool> is_used;
};

} // namespace

bool ComparisonReport::is_predicted(const MeasuredPoint& point) const {
  return has_calibrated() && !used.empty() &&
         std::ranges::find(used, point.orientation) == used.end();
}

template <RowOf<ComparedPoint> Row, class Visit>
void visit_members(Row& point, const Visit& visit) {
  visit("panel", point.measured.panel);
  visit("orientation", point.measured.orientation);
  visit("power_w", point.measured.power_w);
  visit("measured_rise_k", point.measured.rise_k.value);
  visit("measured_half_width_95_k", point.measured.rise_k.error);
  visit("computed_rise_k", point.computed.rise_k.value);
  visit("computed_error_k", point.computed.rise_k.error);
  visit("outside_solved_powers", point.computed.is_outside);
  visit("deviation", point.deviation);
}

template <RowOf<OrderCheck> Row, class Visit>
void visit_members(Row& order, const Visit& visit) {
  visit("panel", order.panel);
  visit("power_w", order.power_w);
  visit("cooler", order.cooler);
  visit("hotter", order.hotter);
  visit("measured_ratio", order.measured_ratio);
  visit("computed_ratio", order.computed_ratio);
  visit("agreed", order.is_agreed());
  visit("clear", order.is_clear);
}

template <RowOf<SoakLength> Row, class Visit>
void visit_members(Row& soak, const Visit& visit) {
  visit("panel", soak.panel);
  visit("orientation", soak.orientation);
  visit("power_w", soak.power_w);
  visit("status", soak.status);
  visit("minutes", soak.minutes);
  visit("computed_rise_k", soak.computed_rise_k);
  visit("computed_time_constant_min", soak.time_constant_s / minute_s);
  visit("computed_settling_time_min", soak.settling_time_s() / minute_s);
  visit("fitted_time_constant_min", soak.measured_constant_min);
}

template <RowOf<Comparison> Row, class Visit>
void visit_members(Row& comparison, const Visit& visit) {
  visit("bias", std::expm1(comparison.bias));
  visit("spread", comparison.spread);
  visit("orders", comparison.orders);
  visit("points", comparison.points);
}

template <RowOf<CalibratedValue> Row, class Visit>
void visit_members(Row& estimate, const Visit& visit) {
  visit("unknown", estimate.unknown);
  visit("value", estimate.value);
  visit("low", estimate.low);
  visit("high", estimate.high);
}

template <RowOf<LeftOut> Row, class Visit>
void visit_members(Row& left_out, const Visit& visit) {
  visit("panel", left_out.panel);
  visit("orientation", left_out.orientation);
  visit("points", left_out.n_points);
  visit("before", left_out.before);
  visit("after", left_out.after);
  visit("refusal", left_out.refusal);
}

namespace {

template <RowOf<CalibratedPoint> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit_members(row.point, visit);
  visit("calibrated_rise_k", row.calibrated_rise_k);
  visit("calibrated_deviation", row.calibrated_deviation);
  visit("used_to_calibrate", row.is_used);
}

Json calibration_json(const ComparisonReport& report) {
  const Calibration& calibration = report.calibration;
  const bool is_refused = !calibration.refusal.empty();
  Json object = Json::object();
  object.add("refusal", calibration.refusal);
  object.add("orientations_used", report.used);
  object.add("points_used", calibration.n_used);
  object.add("estimates", is_refused ? Json::list() : rows_json(calibration.estimates));
  if (!is_refused) {
    object.add("scatter", calibration.scatter);
    object.add("left_out", rows_json(calibration.left_out));
  }
  return object;
}

} // namespace

std::string comparison_csv(const ComparisonReport& report) {
  std::vector<CalibratedPoint> rows;
  for (std::size_t k = 0; k < report.plain.points.size(); ++k) {
    CalibratedPoint row{report.plain.points[k], {}, {}, {}};
    if (report.has_calibrated()) {
      const ComparedPoint& calibrated = report.calibrated.points[k];
      row.calibrated_rise_k = calibrated.computed.rise_k.value;
      row.calibrated_deviation = calibrated.deviation;
      row.is_used = !report.is_predicted(row.point.measured);
    }
    rows.push_back(row);
  }
  return csv_table(rows);
}

std::string comparison_json(const ComparisonReport& report) {
  Json object = Json::object();
  object.add("title", report.title);
  object.add("measured_at", where_measured(report.is_at_base));
  object.add("doubts", report.doubts);
  object.add("outside_the_model", report.outside);
  object.add("as_computed", row_json(report.plain));
  object.add("soaks", rows_json(report.soaks));
  if (report.is_calibrated) {
    object.add("calibration", calibration_json(report));
  }
  if (report.has_calibrated()) {
    object.add("calibrated", row_json(report.calibrated));
  }
  return json_text(object);
}

std::string soak_length_csv(const ComparisonReport& report) {
  return csv_table(report.soaks);
}

namespace {

/// Panel state and orientation give a soak its colour, its number among their soaks the marker.
SeriesLook warm_up_look(const Placing& placing, std::vector<Placing>& placings,
                        std::vector<int>& n_soaks) {
  const auto known = std::ranges::find(placings, placing);
  const auto group = static_cast<std::size_t>(known - placings.begin());
  if (known == placings.end()) {
    placings.push_back(placing);
    n_soaks.push_back(0);
  }
  const int colour = static_cast<int>(group) % n_series_colours;
  return {colour, series_look(n_series_colours * n_soaks[group]++).marker};
}

} // namespace

std::string warm_up_chart(const ComparisonReport& report) {
  constexpr int pieces = 60;
  Chart chart;
  chart.title = report.title + ": logs and computed warm-up";
  chart.x_label = "time since the power was set, min";
  chart.y_label =
      fmt::format("rise of the {} above the room, K", where_measured(report.is_at_base));
  std::vector<Placing> placings;
  std::vector<int> n_soaks; // of each placing so far
  for (const SoakLength& soak : report.soaks) {
    if (soak.log.empty()) {
      continue;
    }
    const SeriesLook look = warm_up_look(placing_of(soak), placings, n_soaks);
    ChartSeries measured;
    ChartSeries computed;
    measured.label = fmt::format("{}, {}, {:.3g} W", soak.panel, soak.orientation, soak.power_w);
    measured.colour = computed.colour = look.colour;
    measured.marker = look.marker;
    measured.is_small = true;
    computed.is_dashed = true;
    const double start_s = soak.log.front().time_s;
    for (const SoakMean& mean : soak.log) {
      measured.points.push_back({mean.time_s / minute_s, mean.rise_k, mean.rise_k, mean.rise_k});
    }
    chart.series.push_back(measured);
    if (!(soak.time_constant_s > 0.0)) {
      continue;
    }
    const WarmUp warm_up{soak.log.front().rise_k, soak.computed_rise_k, soak.time_constant_s};
    for (int k = 0; k <= pieces; ++k) {
      const double after_s = (soak.log.back().time_s - start_s) * k / pieces;
      const double rise = warm_up.rise_k(after_s);
      computed.curve.push_back({(start_s + after_s) / minute_s, rise, rise, rise});
    }
    chart.note = "dashed: computed";
    chart.series.push_back(computed);
  }
  return chart_svg(chart);
}

std::string comparison_chart(const ComparisonReport& report) {
  Chart chart;
  chart.title = report.title + ": measured and computed";
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above the room, K", where_measured(report.is_at_base));
  chart.hollow_label = "outside the solved powers";
  const Comparison& shown = report.has_calibrated() ? report.calibrated : report.plain;
  int colour = 0;
  for (const auto& group : groups_by(shown.points, placing_of_measured)) {
    const Placing placing = placing_of_measured(*group.front());
    ChartSeries measured;
    ChartSeries computed;
    measured.label = placing.panel + ", " + placing.orientation + ", measured";
    computed.label = report.has_calibrated() ? "calibrated" : "computed";
    measured.colour = computed.colour = colour++;
    computed.marker = Marker::frame;
    computed.is_dashed = true;
    for (const ComparedPoint* point : group) {
      const double power = point->measured.power_w;
      measured.points.push_back(chart_point(power, point->measured.rise_k, false));
      computed.points.push_back(
          chart_point(power, point->computed.rise_k, point->computed.is_outside));
    }
    std::ranges::sort(computed.points, {}, &ChartPoint::x);
    for (const ChartPoint& point : computed.points) {
      computed.curve.push_back({point.x, point.y, point.y, point.y});
    }
    chart.series.push_back(measured);
    chart.series.push_back(computed);
  }
  return chart_svg(chart);
}

} // namespace tiltfin
