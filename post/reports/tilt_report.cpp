#include "post/reports/tilt_report.hpp"

#include "post/reports/outcome_columns.hpp"
#include "post/reports/table_parts.hpp"
#include "post/reports/tilt_facts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// One row of tilts.csv.
struct TiltRow {
  double tilt_deg = 0.0;
  std::string named;
  SweepWay way = SweepWay::both;
  bool is_added = false;
  double other_rise_k = nan;
  Outcome flow;
  SolvedLimit limit;
};

template <RowOf<TiltRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  const Outcome& flow = row.flow;
  visit("panel", flow.panel);
  visit("finish", flow.finish);
  visit("tilt_deg", row.tilt_deg);
  visit("orientation", row.named);
  visit("power_w", flow.power_w);
  visit("way", row.way);
  visit("added", row.is_added);
  visit("status", flow.status);
  visit("standing", flow.standing);
  visit("stability", flow.stability.state);
  visit("base_rise_mean_k", flow.base_rise_mean_k.value);
  visit("rise_error_k", flow.base_rise_mean_k.error);
  visit("second_rise_k", row.other_rise_k);
  visit("feeding", flow.feeding);
  visit("air_into_fins_c", flow.air_into_fins_c.value);
  visit("air_into_fins_error_k", flow.air_into_fins_c.error);
  visit("through_flow_g_per_s", flow.through_flow_g_per_s.value);
  visit("through_flow_error_g_per_s", flow.through_flow_g_per_s.error);
  visit("re_entering_share", flow.re_entering_share);
  visit("recirculation", flow.recirculation);
  visit("radiated_share", flow.radiated_share);
  visit("power_limit_w", row.limit.power_w.value);
  visit("power_limit_error_w", row.limit.power_w.error);
  visit("power_limit_extrapolated", row.limit.extrapolated);
  visit("limit_standing", row.limit.standing);
  visit("limit_doubt", row.limit.doubt);
}

TiltRow row_of(const TiltReport& report, const TiltPoint& point, SweepWay way) {
  const TiltLimit* limit = limit_at(report, point.panel, point.tilt_deg);
  TiltRow row{.tilt_deg = point.tilt_deg,
              .named = name_of_tilt(point.tilt_deg),
              .way = way,
              .is_added = point.is_added,
              .flow = way == SweepWay::falling ? point.falling : point.rising,
              .limit = {}};
  if (point.are_two) {
    const Outcome& other = way == SweepWay::falling ? point.rising : point.falling;
    row.other_rise_k = other.base_rise_mean_k.value;
  }
  if (limit != nullptr) {
    row.limit = way == SweepWay::falling && point.are_two ? limit->falling : limit->rising;
  }
  return row;
}

/// The ways whose flows stand as rows.
std::vector<SweepWay> ways_of(const TiltPoint& point) {
  const bool rising = is_solved(point.rising.status);
  const bool falling = is_solved(point.falling.status);
  if (point.are_two) {
    return {SweepWay::rising, SweepWay::falling};
  }
  return {rising == falling ? SweepWay::both : (rising ? SweepWay::rising : SweepWay::falling)};
}

std::string show_angle(double tilt_deg) {
  const std::string named = name_of_tilt(tilt_deg);
  return named.empty() ? fmt::format("{:g}°", tilt_deg)
                       : fmt::format("{:g}° ({})", tilt_deg, named);
}

/// "147.6 ±2.8* W"
std::string show_watts(const SolvedLimit& limit) {
  const std::string standing = name(limit.standing);
  return with_error(limit.power_w) + (limit.is_starred() ? "*" : "") + " W" +
         (standing.empty() ? "" : " (" + standing + ")");
}

std::string best_sentence(const TiltReport& report, const std::string& panel) {
  const BestAndWorst found = best_and_worst(report, panel);
  if (found.best == nullptr) {
    return wrapped("  ", panel + ": no power limit, so no best angle", 4);
  }
  const SolvedLimit& best = found.best->lower();
  const SolvedLimit& worst = found.worst->lower();
  std::string text = fmt::format("{}: best at {}, {}; worst at {}, {}: {:.0f} % less", panel,
                                 show_angle(found.best->tilt_deg), show_watts(best),
                                 show_angle(found.worst->tilt_deg), show_watts(worst),
                                 100.0 * (1.0 - worst.power_w.value / best.power_w.value));
  text += is_too_close(best.power_w, worst.power_w)
              ? ", within the error bars: no angle can be told to be better"
              : "";
  return wrapped("  ", text, 4);
}

/// "from 60° to 75°"
std::string show_range(const TwoFlows& range) {
  return range.from == range.to ? "at " + show_angle(range.from->tilt_deg)
                                : fmt::format("from {} to {}", show_angle(range.from->tilt_deg),
                                              show_angle(range.to->tilt_deg));
}

/// "5°, 90° (flat-up)": where the two ways came to different flows that cool alike; "" nowhere.
std::string alike_at(const TiltCurve& curve) {
  std::string text;
  for (const TiltPoint* point : curve) {
    if (point->are_two && !has_two_flows(*point)) {
      text += (text.empty() ? "" : ", ") + show_angle(point->tilt_deg);
    }
  }
  return text;
}

/// At which angles a panel state has two flows at a power, and how they differ.
std::string flows_sentences(const TiltReport& report, const TiltCurve& curve) {
  const TiltPoint& first = *curve.front();
  const std::string head = fmt::format("{}, {} W: ", first.panel, first.power_w);
  std::string text;
  for (const TwoFlows& range : two_flows_of(curve, report.is_closed)) {
    const TiltPoint& widest = *range.widest;
    const bool falls = widest.falling.base_rise_mean_k.value > widest.rising.base_rise_mean_k.value;
    const Outcome& cool = falls ? widest.rising : widest.falling;
    const Outcome& hot = falls ? widest.falling : widest.rising;
    text += wrapped("  ",
                    fmt::format("{}two flows coexist {}, at {} with {} K (angle {}) and {} K "
                                "(angle {}): {}",
                                head, show_range(range), show_angle(widest.tilt_deg),
                                with_error(cool.base_rise_mean_k), falls ? "rising" : "falling",
                                with_error(hot.base_rise_mean_k), falls ? "falling" : "rising",
                                explanation(cool, hot)),
                    4);
  }
  const std::string alike = alike_at(curve);
  if (!alike.empty()) {
    text += wrapped("  ",
                    fmt::format("{}at {} the two ways came to air that moves differently in places "
                                "but cools alike within the error bars",
                                head, alike),
                    4);
  }
  return text.empty()
             ? wrapped("  ", head + "one flow at every angle, whichever way it is reached", 4)
             : text;
}

std::string jump_sentence(const TiltJump& jump) {
  const TiltPoint& from = *jump.from;
  const std::string along =
      jump.way == SweepWay::both
          ? "solved from both sides, each angle has one flow"
          : fmt::format("along the flow of {} angle, beside which there is another",
                        name(jump.way));
  const std::string narrowed =
      jump.is_narrowed()
          ? fmt::format(", most of it from {} to {}", show_angle(jump.steep_from->tilt_deg),
                        show_angle(jump.steep_to->tilt_deg))
          : "";
  return wrapped("  ",
                 fmt::format("{}, {} W, {} to {}: the rise goes from {} to {} K{}; {}: {}",
                             from.panel, from.power_w, show_angle(from.tilt_deg),
                             show_angle(jump.to->tilt_deg),
                             with_error(jump.before().base_rise_mean_k),
                             with_error(jump.after().base_rise_mean_k), narrowed, along,
                             explanation(jump.before(), jump.after())),
                 4);
}

std::string status_sentence(const TiltReport& report) {
  int means = 0;
  int missing = 0;
  int outside = 0;
  int doubtful = 0;
  for (const TiltPoint& point : report.points) {
    for (const Outcome* flow : {&point.rising, &point.falling}) {
      means += flow->status == SolveStatus::time_average ? 1 : 0;
      missing += is_solved(flow->status) ? 0 : 1;
      outside += flow->standing == Standing::outside ? 1 : 0;
      doubtful += flow->standing == Standing::doubtful ? 1 : 0;
    }
  }
  std::string text =
      "Steady flows, each angle from the one before it; whether real air leaves them was not "
      "examined.";
  text += means > 0 ? fmt::format(" {} of {} are means over time, where none was found.", means,
                                  2 * report.points.size())
                    : "";
  text += missing > 0 ? fmt::format(" {} did not converge.", missing) : "";
  text += outside > 0 ? fmt::format(" {} lie outside the model: no numbers of a machine.", outside)
                      : "";
  text += doubtful > 0 ? fmt::format(" {} are doubtful: air too cold in places.", doubtful) : "";
  return wrapped("  ", text, 2);
}

} // namespace

std::string tilts_csv(const TiltReport& report) {
  std::vector<TiltRow> rows;
  for (const TiltPoint& point : report.points) {
    for (const SweepWay way : ways_of(point)) {
      rows.push_back(row_of(report, point, way));
    }
  }
  return csv_table(rows);
}

std::string tilt_table(const TiltReport& report) {
  std::string text = "Every angle (tilts.csv; 0° upright, 90° flat with the cooler on top)\n";
  bool is_starred = false;
  for (const std::string& panel : panels_of(report)) {
    text += best_sentence(report, panel);
    const BestAndWorst found = best_and_worst(report, panel);
    is_starred = is_starred || (found.best != nullptr && (found.best->lower().is_starred() ||
                                                          found.worst->lower().is_starred()));
  }
  text += is_starred ? "  * extrapolated: the limit lies outside the solved powers\n" : "";
  std::string jumps;
  for (const TiltCurve& curve : curves_of(report)) {
    text += flows_sentences(report, curve);
    for (const TiltJump& jump : jumps_of(curve, report.is_closed)) {
      jumps += jump_sentence(jump);
    }
  }
  text += jumps.empty() ? "" : "Where the rise jumps, and what changes with it\n" + jumps;
  if (!report.left_out.empty()) {
    text += wrapped("  ",
                    fmt::format("Left out, because --only does not choose them and tilts/ does not "
                                "hold all of their steps: {}.",
                                fmt::join(report.left_out, "; ")),
                    4);
  }
  return text + status_sentence(report);
}

} // namespace tiltfin
