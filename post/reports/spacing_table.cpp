#include "post/reports/spacing_report.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

std::string head_of(const SpacingBest& best) {
  return row_head(best.panel, best.orientation_or_weighted());
}

std::string show_layout(const FinLayout& layout) {
  std::string text = fmt::format("{} x {:g}", layout.count, layout.thickness_mm);
  return layout.height_mm ? text + fmt::format(" x {:g}", *layout.height_mm) : text;
}

/// "146.8 ±0.9*"
std::string show_starred(const SolvedLimit& limit) {
  return show_limit(limit) + (limit.is_starred() ? "*" : "");
}

std::string best_table(const SpacingReport& report) {
  std::string text = "Best gap\n";
  text += fmt::format("  {:<19} {:<13} {:>8} {:>15} {:>14} {:>14} {:>14} {:>7}\n", "panel",
                      "orientation", "gap, mm", report.is_plates ? "plates, mm" : "fins, mm",
                      "rise, K", "as drawn, K", "as good, mm", "formula");
  for (const SpacingBest& best : report.best) {
    const bool is_range = best.low_gap_mm < best.high_gap_mm;
    text +=
        fmt::format("{} {:>7.2f}{} {:>15} {:>14} {:>14} {:>14} {:>7}\n", head_of(best),
                    best.layout.gap_mm, best.edge.empty() ? " " : "|", show_layout(best.layout),
                    with_error(best.rise_k), with_error(best.drawn_rise_k),
                    is_range ? fmt::format("{:.2f} to {:.2f}", best.low_gap_mm, best.high_gap_mm)
                    : std::isfinite(best.rise_k.error) ? "-"
                                                       : "?",
                    number_or_dash(best.closed_form_mm, 1));
  }
  for (const SpacingBest& best : report.best) {
    if (!best.edge.empty()) {
      text += wrapped(
          "  | ", fmt::format("{}, {}: {}.", best.panel, best.orientation_or_weighted(), best.edge),
          4);
    }
  }
  text +=
      "  as good: solved gaps whose error bars overlap with the best; no difference is claimed\n";
  const bool any_unknown = std::ranges::any_of(
      report.best, [](const SpacingBest& best) { return !std::isfinite(best.rise_k.error); });
  if (any_unknown) {
    text +=
        "  without an error bar: a mean over time, of one mesh; ? its neighbours may be as good\n";
  }
  return text + "  weighted: " + report.weights_text + "\n\n";
}

/// What became of the ranked flow, in words.
std::string fate(const SolvedRise& ranked, const SolvedRise& examined) {
  const bool is_unstable = examined.stability == Stability::unstable;
  if (examined.status == SolveStatus::time_average) {
    return is_unstable ? "air leaves it: mean over time" : "no steady state: mean over time";
  }
  if (examined.status != SolveStatus::converged) {
    return name(examined.status);
  }
  if (is_unstable) {
    return "unstable, followed to nothing settled";
  }
  const double bars = ranked.rise_k.error + examined.rise_k.error; // NaN: it may be the same
  const bool is_other = std::abs(examined.rise_k.value - ranked.rise_k.value) > bars;
  return std::string(is_other ? "another steady flow, " : "") + name(examined.stability);
}

std::string examined_table(const SpacingReport& report) {
  if (report.skips_stability) {
    return wrapped(
               "  ",
               "Stability was not examined, as asked for (--skip-stability): real air may leave "
               "any of these flows.",
               4) +
           "\n";
  }
  std::string text = "Stability, examined for the best and the layout as drawn\n";
  text += fmt::format("  {:<19} {:<13} {:>8} {:>15} {:>14}  {}\n", "panel", "orientation",
                      "gap, mm", "ranked rise, K", "examined, K", "the ranked flow is");
  for (const SpacingPoint& point : report.points) {
    if (point.examined) {
      text +=
          fmt::format("{} {:>8.2f} {:>15} {:>14}  {}\n", row_head(point.panel, point.orientation),
                      point.layout.gap_mm, with_error(point.ranked.rise_k),
                      with_error(point.examined->rise_k), fate(point.ranked, *point.examined));
    }
  }
  return text +
         wrapped("  ",
                 "Layouts are ranked without that, like with like; the others were not "
                 "examined.",
                 4) +
         "\n";
}

/// How many of the solved conditions are in doubt, and whether a best one is; "" where none is.
std::string standing_text(const SpacingReport& report) {
  std::string text;
  for (const Standing standing : {Standing::outside, Standing::doubtful}) {
    const auto n = std::ranges::count_if(report.points, [standing](const SpacingPoint& point) {
      return point.ranked.standing == standing;
    });
    if (n > 0) {
      text += wrapped("  ",
                      fmt::format("{} of {} conditions: {} (standing in spacing.csv, reasons in "
                                  "their layouts' summary.csv)",
                                  n, report.points.size(), name(standing)),
                      4);
    }
  }
  const char* best = "WARNING: a best layout lies outside the model: no number of a machine.\n\n";
  return text.empty() ? text : text + (has_best_outside(report) ? best : "\n");
}

std::string limit_table(const SpacingReport& report) {
  std::string text = "Power limit of the best (of the flows as ranked, stability not examined)\n";
  text += fmt::format("  {:<19} {:<13} {:>8} {:>14} {:<13} {:>14}  {}\n", "panel", "best for",
                      "gap, mm", "", "orientation", "limit, W", "status");
  bool any_starred = false;
  for (const SpacingBest& best : report.best) {
    for (const TrendRow& row : best.limits) {
      any_starred = any_starred || row.limit.extrapolated;
      text +=
          fmt::format("{} {:>8.2f} {:>14} {:<13} {:>14}  {}\n", head_of(best), best.layout.gap_mm,
                      "", row.orientation, show_starred(row.limit), show_status(row.limit));
    }
  }
  if (any_starred) {
    text += "  * extrapolated: the limit lies outside the solved powers\n";
  }
  for (const SpacingBest& best : report.best) {
    for (const TrendRow& row : best.limits) {
      text +=
          row.limit.doubt.empty()
              ? ""
              : wrapped("  ",
                        fmt::format("{}, {}: {}", row.panel, row.orientation, row.limit.doubt), 4);
    }
  }
  return text + "\n";
}

/// What the closed form assumes, and where it says nothing.
std::string formula_text(const SpacingReport& report) {
  std::string text;
  const bool any = std::ranges::any_of(
      report.best, [](const SpacingBest& best) { return std::isfinite(best.closed_form_mm); });
  if (any) {
    text += wrapped(
        "  formula: ",
        "the closed form for vertical, isothermal, thin plates open to the room below and above, "
        "2.714 (Ra / (S^3 L))^(-1/4), with the rise of the base at the best gap (fins cooler than "
        "the base want a little more). In such channels this program's own best gap lies 6 to 11 % "
        "above it.",
        4);
  }
  std::vector<std::string> said;
  for (const SpacingBest& best : report.best) {
    const std::string line = best.orientation + ": " + best.no_closed_form;
    if (!best.no_closed_form.empty() && std::ranges::find(said, line) == said.end()) {
      said.push_back(line);
      text += wrapped("  no formula ", line + ".", 4);
    }
  }
  return text;
}

} // namespace

std::string spacing_table(const SpacingReport& report) {
  const ReportContext& context = report.context;
  std::string text = context.title + "\n";
  text += fmt::format("Gap between {} at equal power: {:g} W, room {:g} °C\n",
                      report.is_plates ? "plates" : "fins", report.power_w,
                      context.core.room_temperature_c);
  text += wrapped(
      "  ", fmt::format("Fixed outer size: {}. {}.", report.size_text, report.limits_text), 2);
  text += fmt::format("  As drawn: {} with gaps of {:.2f} mm. {} conditions solved.\n\n",
                      show_layout(report.drawn), report.drawn.gap_mm, report.points.size());
  text += best_table(report) + standing_text(report) + examined_table(report) +
          limit_table(report) + formula_text(report);
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + short_cautions();
}

} // namespace tiltfin
