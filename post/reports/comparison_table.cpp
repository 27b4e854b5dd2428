#include "post/reports/comparison_report.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

namespace tiltfin {
namespace {

std::string percent(double share) {
  return std::isfinite(share) ? fmt::format("{:+.1f} %", 100.0 * share) : "-";
}

std::string point_table(const ComparisonReport& report) {
  const bool both = report.has_calibrated();
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
      const bool predicted = report.is_predicted(point.measured);
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

/// How long the soaks were, beside how long the computed cooler takes; "" where that is not known.
std::string soak_lengths(const ComparisonReport& report) {
  std::string text;
  std::string verdicts;
  for (const SoakLength& soak : report.soaks) {
    if (!(soak.time_constant_s > 0.0)) {
      continue;
    }
    text +=
        fmt::format("{} {:>8.2f} {:>8.0f} {:>9.1f} {:>6.1f} {:>7.0f}  {}\n",
                    row_head(soak.panel, soak.orientation), soak.power_w, soak.minutes,
                    soak.time_constant_s / minute_s, soak.minutes * minute_s / soak.time_constant_s,
                    soak.settling_time_s() / minute_s, name(soak.status));
    if (soak.status != SoakStatus::settled) {
      verdicts +=
          wrapped("  ",
                  fmt::format("{}, {}, {:.2f} W: not settled: {}", soak.panel, soak.orientation,
                              soak.power_w, soak_length_text(soak.minutes, soak.time_constant_s)),
                  4);
    }
  }
  if (text.empty()) {
    return "";
  }
  return fmt::format("Length of the soaks, min, beside the computed time constant of the metal "
                     "(board, case and\n  compound make a real soak slower)\n  {:<18} {:<13} {:>8} "
                     "{:>8} {:>9} {:>6} {:>7}  {}\n",
                     "panel", "orientation", "W", "soak", "constant", "ratio", "to 1 %", "status") +
         text + verdicts + "\n";
}

} // namespace

std::string comparison_table(const ComparisonReport& report) {
  std::string text = report.title + "\nComputed against measured\n\n";
  for (const std::string& doubt : report.doubts) {
    text += wrapped("WARNING: ", "are these logs of this machine? " + doubt, 9) + "\n";
  }
  if (!report.outside.empty()) {
    text += wrapped("WARNING: ",
                    fmt::format("computed conditions that lie outside the model: {}",
                                fmt::join(report.outside, "; ")),
                    9) +
            "\n";
  }
  text += point_table(report) + "\n";
  text += summary_line("as computed", report.plain);
  if (report.has_calibrated()) {
    text += summary_line("calibrated", report.calibrated);
  }
  text += "\n";
  text += order_list(report.plain) + soak_lengths(report) + calibration_text(report);
  for (const MeasuredPoint& point : report.plain.unsolved) {
    text += fmt::format("  not compared: {}, {}, {:.2f} W has no solved counterpart\n", point.panel,
                        point.orientation, point.power_w);
  }
  return text + short_cautions();
}

} // namespace tiltfin
