#include "post/reports/comparison_report.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/json_parts.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

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
                                 report.is_at_base ? "base" : "core");
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
                        point.measured.power_w,
                        with_error(point.measured.rise_k, point.measured.error_k),
                        with_error(point.computed.rise_k, point.computed.error_k),
                        point.computed.is_outside ? "*" : " ", percent(point.deviation));
    if (both) {
      const bool predicted = is_predicted(report, point.measured);
      any_predicted = any_predicted || predicted;
      text += fmt::format(" {:>10.1f}{} {:>9}", report.calibrated.points[k].computed.rise_k,
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
  return unknown == Unknown::die_to_base ? "K/W"
         : unknown == Unknown::depth     ? "times the depth of the case"
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
  for (const Estimate& estimate : calibration.estimates) {
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

Json comparison_object(const Comparison& comparison) {
  Json object;
  object["bias"] = std::expm1(comparison.bias);
  object["spread"] = comparison.spread;
  object["orders"] = Json::array();
  for (const OrderCheck& order : comparison.orders) {
    object["orders"].push_back(Json{{"panel", order.panel},
                                    {"power_w", order.power_w},
                                    {"cooler", order.cooler},
                                    {"hotter", order.hotter},
                                    {"measured_ratio", order.measured_ratio},
                                    {"computed_ratio", order.computed_ratio},
                                    {"agreed", order.is_agreed()},
                                    {"clear", order.is_clear}});
  }
  object["points"] = Json::array();
  for (const ComparedPoint& point : comparison.points) {
    object["points"].push_back(Json{{"panel", point.measured.panel},
                                    {"orientation", point.measured.orientation},
                                    {"power_w", point.measured.power_w},
                                    {"measured_rise_k", point.measured.rise_k},
                                    {"measured_half_width_95_k", point.measured.error_k},
                                    {"computed_rise_k", point.computed.rise_k},
                                    {"computed_error_k", point.computed.error_k},
                                    {"outside_solved_powers", point.computed.is_outside},
                                    {"deviation", point.deviation}});
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
  std::string text = "panel,orientation,power_w,measured_rise_k,measured_half_width_95_k,"
                     "computed_rise_k,computed_error_k,outside_solved_powers,deviation,"
                     "calibrated_rise_k,calibrated_deviation,used_to_calibrate\n";
  const bool both = has_calibrated(report);
  for (std::size_t k = 0; k < report.plain.points.size(); ++k) {
    const ComparedPoint& point = report.plain.points[k];
    const MeasuredPoint& measured = point.measured;
    text += csv_line({csv_text(measured.panel), csv_text(measured.orientation),
                      csv_value(measured.power_w), csv_value(measured.rise_k),
                      csv_value(measured.error_k), csv_value(point.computed.rise_k),
                      csv_value(point.computed.error_k), point.computed.is_outside ? "yes" : "no",
                      csv_value(point.deviation),
                      both ? csv_value(report.calibrated.points[k].computed.rise_k) : "",
                      both ? csv_value(report.calibrated.points[k].deviation) : "",
                      both ? (is_predicted(report, measured) ? "no" : "yes") : ""});
  }
  return text;
}

std::string comparison_json(const ComparisonReport& report) {
  Json object;
  object["title"] = report.title;
  object["measured_at"] = report.is_at_base ? "base" : "core";
  object["as_computed"] = comparison_object(report.plain);
  if (report.is_calibrated) {
    const Calibration& calibration = report.calibration;
    Json& part = object["calibration"];
    part["refusal"] = calibration.refusal;
    part["orientations_used"] = report.used;
    part["points_used"] = calibration.n_used;
    part["estimates"] = Json::array();
    if (calibration.refusal.empty()) {
      for (const Estimate& estimate : calibration.estimates) {
        part["estimates"].push_back(Json{{"unknown", name(estimate.unknown)},
                                         {"value", estimate.value},
                                         {"low", estimate.low},
                                         {"high", estimate.high}});
      }
      part["scatter"] = calibration.scatter;
      part["left_out"] = Json::array();
      for (const LeftOut& left_out : calibration.left_out) {
        part["left_out"].push_back(Json{{"panel", left_out.panel},
                                        {"orientation", left_out.orientation},
                                        {"points", left_out.n_points},
                                        {"before", left_out.before},
                                        {"after", left_out.after},
                                        {"refusal", left_out.refusal}});
      }
      object["calibrated"] = comparison_object(report.calibrated);
    }
  }
  return json_text(object);
}

std::string comparison_chart(const ComparisonReport& report) {
  Chart chart;
  chart.title = report.title + ": measured and computed";
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above the room, K", report.is_at_base ? "base" : "core");
  chart.hollow_label = "outside the solved powers";
  const Comparison& shown = has_calibrated(report) ? report.calibrated : report.plain;
  int colour = 0;
  std::vector<ComparedPoint> left = shown.points;
  while (!left.empty()) {
    const MeasuredPoint first = left.front().measured;
    ChartSeries measured;
    ChartSeries computed;
    measured.label = first.panel + ", " + first.orientation + ", measured";
    computed.label = has_calibrated(report) ? "calibrated" : "computed";
    measured.colour = computed.colour = colour++;
    computed.is_square = computed.is_dashed = true;
    std::vector<ComparedPoint> others;
    for (const ComparedPoint& point : left) {
      const MeasuredPoint& m = point.measured;
      if (m.panel != first.panel || m.orientation != first.orientation) {
        others.push_back(point);
        continue;
      }
      measured.points.push_back({m.power_w, m.rise_k, m.rise_k - m.error_k, m.rise_k + m.error_k});
      const double rise = point.computed.rise_k;
      const double error = std::isfinite(point.computed.error_k) ? point.computed.error_k : 0.0;
      computed.points.push_back(
          {m.power_w, rise, rise - error, rise + error, point.computed.is_outside});
    }
    std::ranges::sort(computed.points, {}, &ChartPoint::x);
    for (const ChartPoint& point : computed.points) {
      computed.curve.push_back({point.x, point.y, point.y, point.y});
    }
    chart.series.push_back(measured);
    chart.series.push_back(computed);
    left = others;
  }
  return chart_svg(chart);
}

} // namespace tiltfin
