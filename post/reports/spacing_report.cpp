#include "post/reports/spacing_report.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/json_parts.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

std::string head_of(const SpacingBest& best) {
  return row_head(best.panel, best.orientation.empty() ? "weighted" : best.orientation);
}

std::string show_layout(const FinLayout& layout) {
  std::string text = fmt::format("{} x {:g}", layout.count, layout.thickness_mm);
  return layout.height_mm > 0.0 ? text + fmt::format(" x {:g}", layout.height_mm) : text;
}

std::string show_closed_form(const SpacingBest& best) {
  return std::isfinite(best.closed_form_mm) ? fmt::format("{:.1f}", best.closed_form_mm) : "-";
}

/// "146.8 ±0.9*"
std::string show_limit(const TrendRow& row) {
  return with_error(row.limit.power_w, row.power_limit_error_w) +
         (row.limit.extrapolated && std::isfinite(row.limit.power_w) ? "*" : "");
}

std::string best_table(const SpacingReport& report) {
  std::string text = "Best gap\n";
  text += fmt::format("  {:<19} {:<13} {:>8} {:>15} {:>14} {:>14} {:>14} {:>7}\n", "panel",
                      "orientation", "gap, mm", report.is_plates ? "plates, mm" : "fins, mm",
                      "rise, K", "as drawn, K", "as good, mm", "formula");
  for (const SpacingBest& best : report.best) {
    const bool is_range = best.low_gap_mm < best.high_gap_mm;
    text += fmt::format(
        "{} {:>7.2f}{} {:>15} {:>14} {:>14} {:>14} {:>7}\n", head_of(best), best.layout.gap_mm,
        best.edge.empty() ? " " : "|", show_layout(best.layout),
        with_error(best.rise_k, best.error_k), with_error(best.drawn_rise_k, best.drawn_error_k),
        is_range ? fmt::format("{:.2f} to {:.2f}", best.low_gap_mm, best.high_gap_mm)
        : std::isfinite(best.error_k) ? "-"
                                      : "?",
        show_closed_form(best));
  }
  for (const SpacingBest& best : report.best) {
    if (!best.edge.empty()) {
      text +=
          wrapped("  | ",
                  fmt::format("{}, {}: {}.", best.panel,
                              best.orientation.empty() ? "weighted" : best.orientation, best.edge),
                  4);
    }
  }
  text +=
      "  as good: solved gaps whose error bars overlap with the best; no difference is claimed\n";
  const bool any_unknown = std::ranges::any_of(
      report.best, [](const SpacingBest& best) { return !std::isfinite(best.error_k); });
  if (any_unknown) {
    text +=
        "  without an error bar: a mean over time, of one mesh; ? its neighbours may be as good\n";
  }
  return text + "  weighted: " + report.weights_text + "\n\n";
}

/// What became of the ranked flow, in words.
std::string fate(const SpacingPoint& point) {
  const ExaminedPoint& examined = point.examined;
  if (examined.status == "time average") {
    return examined.stability == "unstable" ? "air leaves it: mean over time"
                                            : "no steady state: mean over time";
  }
  if (examined.status != "converged") {
    return examined.status;
  }
  if (examined.stability == "unstable") {
    return "unstable, followed to nothing settled";
  }
  const double bars = point.error_k + examined.error_k;
  return std::abs(examined.rise_k - point.rise_k) > bars
             ? "another steady flow, " + examined.stability
             : examined.stability;
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
    if (!point.examined.status.empty()) {
      text +=
          fmt::format("{} {:>8.2f} {:>15} {:>14}  {}\n", row_head(point.panel, point.orientation),
                      point.layout.gap_mm, with_error(point.rise_k, point.error_k),
                      with_error(point.examined.rise_k, point.examined.error_k), fate(point));
    }
  }
  return text +
         wrapped("  ",
                 "Layouts are ranked without that, like with like; the others were not "
                 "examined.",
                 4) +
         "\n";
}

std::string limit_table(const SpacingReport& report) {
  std::string text = "Power limit of the best (of the flows as ranked, stability not examined)\n";
  text += fmt::format("  {:<19} {:<13} {:>8} {:>14} {:<13} {:>14}  {}\n", "panel", "best for",
                      "gap, mm", "", "orientation", "limit, W", "status");
  bool any_starred = false;
  for (const SpacingBest& best : report.best) {
    for (const TrendRow& row : best.limits) {
      any_starred = any_starred || row.limit.extrapolated;
      text += fmt::format("{} {:>8.2f} {:>14} {:<13} {:>14}  {}\n", head_of(best),
                          best.layout.gap_mm, "", row.orientation, show_limit(row), row.status);
    }
  }
  if (any_starred) {
    text += "  * extrapolated: the limit lies outside the solved powers\n";
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

Json layout_json(const FinLayout& layout) {
  return Json{{"name", layout.name},
              {"count", layout.count},
              {"gap_mm", layout.gap_mm},
              {"thickness_mm", layout.thickness_mm},
              {"height_mm", layout.height_mm}};
}

Json best_json(const SpacingBest& best) {
  Json object{{"panel", best.panel},
              {"orientation", best.orientation.empty() ? "weighted" : best.orientation},
              {"layout", layout_json(best.layout)},
              {"base_rise_mean_k", best.rise_k},
              {"base_rise_error_k", best.error_k},
              {"as_drawn_rise_k", best.drawn_rise_k},
              {"as_drawn_error_k", best.drawn_error_k},
              {"as_good_from_mm", best.low_gap_mm},
              {"as_good_to_mm", best.high_gap_mm},
              {"edge", best.edge},
              {"closed_form_mm", best.closed_form_mm},
              {"no_closed_form", best.no_closed_form}};
  object["power_limits"] = Json::array();
  for (const TrendRow& row : best.limits) {
    object["power_limits"].push_back(Json{{"orientation", row.orientation},
                                          {"power_limit_w", row.limit.power_w},
                                          {"power_limit_error_w", row.power_limit_error_w},
                                          {"extrapolated", row.limit.extrapolated},
                                          {"status", row.status},
                                          {"stability_examined", !row.skips_stability}});
  }
  return object;
}

Json point_json(const SpacingPoint& point) {
  Json object{{"panel", point.panel},
              {"orientation", point.orientation},
              {"layout", layout_json(point.layout)},
              {"base_rise_mean_k", point.rise_k},
              {"rise_error_k", point.error_k},
              {"status", point.status},
              {"stability", point.stability}};
  if (!point.examined.status.empty()) {
    object["examined"] = Json{{"base_rise_mean_k", point.examined.rise_k},
                              {"rise_error_k", point.examined.error_k},
                              {"status", point.examined.status},
                              {"stability", point.examined.stability}};
  }
  return object;
}

bool is_of(const FinLayout& layout, double thickness_mm, double height_mm) {
  return layout.thickness_mm == thickness_mm && layout.height_mm == height_mm;
}

} // namespace

std::string spacing_table(const SpacingReport& report) {
  const ReportContext& context = report.context;
  std::string text = context.title + "\n";
  text +=
      fmt::format("Gap between {} at equal power: {:g} W, room {:g} °C\n",
                  report.is_plates ? "plates" : "fins", report.power_w, context.room_temperature_c);
  text += wrapped(
      "  ", fmt::format("Fixed outer size: {}. {}.", report.size_text, report.limits_text), 2);
  text += fmt::format("  As drawn: {} with gaps of {:.2f} mm. {} conditions solved.\n\n",
                      show_layout(report.drawn), report.drawn.gap_mm, report.points.size());
  text += best_table(report) + examined_table(report) + limit_table(report) + formula_text(report);
  for (const std::string& note : report.notes) {
    text += wrapped("  ", note, 4);
  }
  return text + "\n" + short_cautions();
}

std::string spacing_csv(const SpacingReport& report) {
  std::string text = "panel,orientation,power_w,count,gap_mm,thickness_mm,height_mm,"
                     "base_rise_mean_k,rise_error_k,resistance_k_per_w,status,stability,"
                     "examined_rise_k,examined_error_k,examined_status,examined_stability,layout\n";
  for (const SpacingPoint& point : report.points) {
    const FinLayout& layout = point.layout;
    const bool is_examined = !point.examined.status.empty();
    text += csv_line(
        {csv_text(point.panel), csv_text(point.orientation), csv_value(report.power_w),
         fmt::format("{}", layout.count), csv_value(layout.gap_mm), csv_value(layout.thickness_mm),
         csv_value(layout.height_mm), csv_value(point.rise_k), csv_value(point.error_k),
         csv_value(point.rise_k / report.power_w), csv_text(point.status),
         csv_text(point.stability), is_examined ? csv_value(point.examined.rise_k) : "",
         is_examined ? csv_value(point.examined.error_k) : "", csv_text(point.examined.status),
         csv_text(point.examined.stability), csv_text(layout.name)});
  }
  return text;
}

std::string spacing_json(const SpacingReport& report) {
  Json object;
  object["title"] = report.context.title;
  object["power_w"] = report.power_w;
  object["room_temperature_c"] = report.context.room_temperature_c;
  object["limit_temperature_c"] = report.context.limit_temperature_c;
  object["fixed_outer_size"] = report.size_text;
  object["limits"] = report.limits_text;
  object["stability_examined"] = !report.skips_stability;
  object["weights"] = report.weights_text;
  object["as_drawn"] = layout_json(report.drawn);
  object["best"] = Json::array();
  for (const SpacingBest& best : report.best) {
    object["best"].push_back(best_json(best));
  }
  object["points"] = Json::array();
  for (const SpacingPoint& point : report.points) {
    object["points"].push_back(point_json(point));
  }
  object["notes"] = report.notes;
  return json_text(object);
}

std::string spacing_chart(const SpacingReport& report, double thickness_mm, double height_mm) {
  Chart chart;
  chart.title = fmt::format("{}: {:g} W, {} of {:g} mm", report.context.title, report.power_w,
                            report.is_plates ? "plates" : "fins", thickness_mm);
  chart.title += height_mm > 0.0 ? fmt::format(" x {:g} mm", height_mm) : "";
  chart.x_label = "gap, mm (the outer size is fixed, so their number follows)";
  chart.y_label = "mean rise of the base above the room, K";
  chart.hollow_label = "a mean over time, or not converged";
  double highest = 0.0;
  for (const SpacingPoint& point : report.points) {
    if (!is_of(point.layout, thickness_mm, height_mm) || !std::isfinite(point.rise_k)) {
      continue;
    }
    const std::string label = point.panel + ", " + point.orientation;
    if (chart.series.empty() || chart.series.back().label != label) {
      ChartSeries series;
      series.label = label;
      series.colour = static_cast<int>(chart.series.size());
      chart.series.push_back(series);
    }
    const double error = std::isfinite(point.error_k) ? point.error_k : 0.0;
    const double gap = point.layout.gap_mm;
    chart.series.back().points.push_back({gap, point.rise_k, point.rise_k - error,
                                          point.rise_k + error, point.status != "converged"});
    chart.series.back().curve.push_back({gap, point.rise_k, point.rise_k, point.rise_k});
    highest = std::max(highest, point.rise_k);
  }
  const std::vector<ChartSeries> curves = chart.series;
  for (const SpacingBest& best : report.best) {
    const std::string label = best.panel + ", " + best.orientation;
    for (const ChartSeries& curve : curves) {
      if (curve.label == label && std::isfinite(best.closed_form_mm)) {
        ChartSeries mark;
        mark.label = "formula, " + label;
        mark.colour = curve.colour;
        mark.is_dashed = true;
        mark.curve = {{best.closed_form_mm, 0.0, 0.0, 0.0},
                      {best.closed_form_mm, highest, highest, highest}};
        chart.series.push_back(mark);
      }
    }
  }
  return chart_svg(chart);
}

} // namespace tiltfin
