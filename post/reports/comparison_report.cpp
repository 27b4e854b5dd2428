#include "post/reports/comparison_report.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace tiltfin {
namespace {

bool has_calibrated(const ComparisonReport& report) {
  return report.is_calibrated && report.calibration.refusal.empty();
}

/// True for points whose orientation the calibration did not see.
bool is_predicted(const ComparisonReport& report, const MeasuredPoint& point) {
  return has_calibrated(report) && !report.used.empty() &&
         std::ranges::find(report.used, point.orientation) == report.used.end();
}

std::string percent(double share) {
  return std::isfinite(share) ? fmt::format("{:+.1f} %", 100.0 * share) : "-";
}

std::string point_table(const ComparisonReport& report) {
  const bool both = has_calibrated(report);
  std::string text = fmt::format("Rise of the {} above the room, K (measured ± half of its 95 % "
                                 "interval, computed ± estimated\n  error of the mesh)\n",
                                 where_measured(report.is_at_base));
  text += fmt::format("  {:<18} {:<13} {:>8} {:>12} {:>13} {:>9}", "panel", "orientation", "W",
                      "measured", "computed", "off");
  text += both ? fmt::format(" {:>11} {:>9}\n", "calibrated", "off") : "\n";
  bool any_outside = false;
  bool any_predicted = false;
  for (std::size_t k = 0; k < report.plain.points.size(); ++k) {
    const ComparedPoint& point = report.plain.points[k];
    any_outside = any_outside || point.computed.is_outside;
    text += fmt::format("{} {:>8.2f} {:>12} {:>12}{} {:>9}",
                        row_head(point.measured.panel, point.measured.orientation),
                        point.measured.power_w, with_error(point.measured.rise_k),
                        with_error(point.computed.rise_k), point.computed.is_outside ? "*" : " ",
                        percent(point.deviation));
    if (both) {
      const bool predicted = is_predicted(report, point.measured);
      any_predicted = any_predicted || predicted;
      text += fmt::format(" {:>10.1f}{} {:>9}", report.calibrated.points[k].computed.rise_k.value,
                          predicted ? "+" : " ", percent(report.calibrated.points[k].deviation));
    }
    text += "\n";
  }
  if (any_outside) {
    text += "  * outside the solved powers: the last power law between two of them goes on\n";
  }
  if (any_predicted) {
    text += "  + predicted: the calibration did not use this orientation\n";
  }
  return text;
}

std::string summary_line(const char* what, const Comparison& comparison) {
  return fmt::format(
      "  {}: bias {} (computed against measured), spread {} over {} points\n", what,
      percent(std::expm1(comparison.bias)),
      std::isfinite(comparison.spread) ? fmt::format("{:.1f} %", 100.0 * comparison.spread) : "-",
      comparison.points.size());
}

std::string order_list(const Comparison& comparison) {
  std::string text;
  int n_agreed = 0;
  for (const OrderCheck& order : comparison.orders) {
    n_agreed += order.is_agreed() ? 1 : 0;
    text += fmt::format(
        "  {}, {:.1f} W: {} is {:.0f} % hotter than {}; computed {:+.0f} %: {}{}\n", order.panel,
        order.power_w, order.hotter, 100.0 * (order.measured_ratio - 1.0), order.cooler,
        100.0 * (order.computed_ratio - 1.0), order.is_agreed() ? "agreed" : "NOT agreed",
        order.is_clear ? "" : " (measured too close to call)");
  }
  if (text.empty()) {
    return "";
  }
  return fmt::format("Order of the orientations: {} of {} pairs agreed\n", n_agreed,
                     comparison.orders.size()) +
         text + "\n";
}

const char* unit_of(Unknown unknown) {
  return unknown == Unknown::core_to_base ? "K/W"
         : unknown == Unknown::depth      ? "times the depth of the case"
                                          : "of the electrical power";
}

std::string calibration_text(const ComparisonReport& report) {
  if (!report.is_calibrated) {
    return "";
  }
  const Calibration& calibration = report.calibration;
  std::string text = "Calibration\n";
  if (!calibration.refusal.empty()) {
    return text + wrapped("  ", "refused: " + calibration.refusal + ".", 4) + "\n";
  }
  for (const CalibratedValue& estimate : calibration.estimates) {
    text += fmt::format("  {}: {:.3f} ({:.3f} to {:.3f}) {}\n", name(estimate.unknown),
                        estimate.value, estimate.low, estimate.high, unit_of(estimate.unknown));
  }
  text += fmt::format("  from {} points of {}; scatter about it {:.1f} %\n", calibration.n_used,
                      report.used.empty() ? "all orientations"
                                          : fmt::format("{}", fmt::join(report.used, ", ")),
                      100.0 * calibration.scatter);
  text += "  Each orientation predicted from the others:\n";
  for (const LeftOut& left_out : calibration.left_out) {
    const std::string head = fmt::format("  {} {:>2} points, off by {:.1f} % before, ",
                                         row_head(left_out.panel, left_out.orientation),
                                         left_out.n_points, 100.0 * left_out.before);
    text += left_out.refusal.empty()
                ? fmt::format("{}{:.1f} % after\n", head, 100.0 * left_out.after)
                : head + "refused after:\n" + wrapped("      ", left_out.refusal, 6);
  }
  text +=
      wrapped("  ",
              "The misfits of one orientation go together, so the intervals are too short; judge "
              "by the orientations left out. "
              "Between the solved powers the computed rise follows a power law; nothing was "
              "solved anew. What these values also hide: radiation, the third dimension, the "
              "sensors.",
              4);
  return text + "\n";
}

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

std::string comparison_table(const ComparisonReport& report) {
  std::string text = report.title + "\nComputed against measured\n\n" + point_table(report) + "\n";
  text += summary_line("as computed", report.plain);
  if (has_calibrated(report)) {
    text += summary_line("calibrated", report.calibrated);
  }
  text += "\n" + order_list(report.plain) + calibration_text(report);
  for (const MeasuredPoint& point : report.plain.unsolved) {
    text += fmt::format("  not compared: {}, {}, {:.2f} W has no solved counterpart\n", point.panel,
                        point.orientation, point.power_w);
  }
  return text + short_cautions();
}

std::string comparison_csv(const ComparisonReport& report) {
  std::vector<CalibratedPoint> rows;
  for (std::size_t k = 0; k < report.plain.points.size(); ++k) {
    CalibratedPoint row{report.plain.points[k], {}, {}, {}};
    if (has_calibrated(report)) {
      const ComparedPoint& calibrated = report.calibrated.points[k];
      row.calibrated_rise_k = calibrated.computed.rise_k.value;
      row.calibrated_deviation = calibrated.deviation;
      row.is_used = !is_predicted(report, row.point.measured);
    }
    rows.push_back(row);
  }
  return csv_table(rows);
}

std::string comparison_json(const ComparisonReport& report) {
  Json object = Json::object();
  object.add("title", report.title);
  object.add("measured_at", where_measured(report.is_at_base));
  object.add("as_computed", row_json(report.plain));
  if (report.is_calibrated) {
    object.add("calibration", calibration_json(report));
  }
  if (has_calibrated(report)) {
    object.add("calibrated", row_json(report.calibrated));
  }
  return json_text(object);
}

std::string comparison_chart(const ComparisonReport& report) {
  Chart chart;
  chart.title = report.title + ": measured and computed";
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above the room, K", where_measured(report.is_at_base));
  chart.hollow_label = "outside the solved powers";
  const Comparison& shown = has_calibrated(report) ? report.calibrated : report.plain;
  int colour = 0;
  for (const auto& group : groups_by(shown.points, placing_of_measured)) {
    const Placing placing = placing_of_measured(*group.front());
    ChartSeries measured;
    ChartSeries computed;
    measured.label = placing.panel + ", " + placing.orientation + ", measured";
    computed.label = has_calibrated(report) ? "calibrated" : "computed";
    measured.colour = computed.colour = colour++;
    computed.is_square = computed.is_dashed = true;
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
