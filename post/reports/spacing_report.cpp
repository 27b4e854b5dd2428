#include "post/reports/spacing_report.hpp"

#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"
#include "post/reports/table_parts.hpp"
#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tiltfin {
namespace {

/// A point as one row of spacing.csv and of the points in spacing.json.
struct PointRow {
  SpacingPoint point;
  double power_w = 0.0;
};

std::vector<PointRow> rows_of(const SpacingReport& report) {
  std::vector<PointRow> rows;
  for (const SpacingPoint& point : report.points) {
    rows.push_back({point, report.power_w});
  }
  return rows;
}

/// The limit of a best layout in one orientation.
struct OrientationLimit {
  std::string orientation;
  SolvedLimit limit;
};

std::vector<OrientationLimit> limits_of(const SpacingBest& best) {
  std::vector<OrientationLimit> limits;
  for (const TrendRow& row : best.limits) {
    limits.push_back({row.orientation, row.limit});
  }
  return limits;
}

template <RowOf<OrientationLimit> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit("orientation", row.orientation);
  visit_limit(row.limit, visit, "extrapolated");
  visit_limit_status(row.limit, visit);
}

} // namespace

template <RowOf<FinLayout> Row, class Visit>
void visit_members(Row& layout, const Visit& visit) {
  visit("name", layout.name);
  visit("count", layout.count);
  visit("gap_mm", layout.gap_mm);
  visit("thickness_mm", layout.thickness_mm);
  visit("height_mm", layout.height_mm.value_or(0.0));
}

template <RowOf<SolvedRise> Row, class Visit>
void visit_members(Row& solved, const Visit& visit) {
  visit("base_rise_mean_k", solved.rise_k.value);
  visit("rise_error_k", solved.rise_k.error);
  visit("status", solved.status);
  visit("standing", solved.standing);
  visit("stability", solved.stability);
}

template <RowOf<SpacingBest> Row, class Visit>
void visit_members(Row& best, const Visit& visit) {
  visit("panel", best.panel);
  visit("orientation", best.orientation_or_weighted());
  visit("layout", best.layout);
  visit("base_rise_mean_k", best.rise_k.value);
  visit("base_rise_error_k", best.rise_k.error);
  visit("as_drawn_rise_k", best.drawn_rise_k.value);
  visit("as_drawn_error_k", best.drawn_rise_k.error);
  visit("as_good_from_mm", best.low_gap_mm);
  visit("as_good_to_mm", best.high_gap_mm);
  visit("edge", best.edge);
  visit("closed_form_mm", best.closed_form_mm);
  visit("no_closed_form", best.no_closed_form);
  visit("power_limits", limits_of(best));
}

namespace {

template <RowOf<PointRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  const SpacingPoint& point = row.point;
  const std::optional<SolvedRise>& examined = point.examined;
  const Estimate none{.value = nan};
  const Estimate& examined_rise = examined ? examined->rise_k : none;
  visit("panel", point.panel);
  visit("orientation", point.orientation);
  visit("power_w", row.power_w, In::csv);
  visit("count", point.layout.count, In::csv);
  visit("gap_mm", point.layout.gap_mm, In::csv);
  visit("thickness_mm", point.layout.thickness_mm, In::csv);
  visit("height_mm", point.layout.height_mm.value_or(0.0), In::csv);
  visit("layout", point.layout);
  visit("base_rise_mean_k", point.ranked.rise_k.value);
  visit("rise_error_k", point.ranked.rise_k.error);
  visit("resistance_k_per_w", point.ranked.rise_k.value / row.power_w, In::csv);
  visit("status", point.ranked.status);
  visit("standing", point.ranked.standing);
  visit("stability", point.ranked.stability);
  visit("examined_rise_k", examined_rise.value, In::csv);
  visit("examined_error_k", examined_rise.error, In::csv);
  visit("examined_status", examined ? std::optional(examined->status) : std::nullopt, In::csv);
  visit("examined_stability", examined ? std::optional(examined->stability) : std::nullopt,
        In::csv);
  visit("examined", examined);
  visit("layout", point.layout.name, In::csv);
}

/// A dashed line where the closed form has its optimum, in the colour of its curve.
ChartSeries formula_mark(const ChartSeries& curve, double gap_mm, double highest) {
  ChartSeries mark;
  mark.label = "formula, " + curve.label;
  mark.colour = curve.colour;
  mark.is_dashed = true;
  mark.curve = {{gap_mm, 0.0, 0.0, 0.0}, {gap_mm, highest, highest, highest}};
  return mark;
}

} // namespace

bool has_best_outside(const SpacingReport& report) {
  return std::ranges::any_of(report.best, [&](const SpacingBest& best) {
    const bool any_row = std::ranges::any_of(report.points, [&](const SpacingPoint& point) {
      const bool counts = best.orientation.empty() || best.orientation == point.orientation;
      return counts && best.panel == point.panel && best.layout.name == point.layout.name &&
             point.ranked.standing == Standing::outside;
    });
    return any_row || std::ranges::any_of(best.limits, [](const TrendRow& row) {
             return row.limit.standing == Standing::outside;
           });
  });
}

std::string spacing_csv(const SpacingReport& report) {
  return csv_table(rows_of(report));
}

std::string spacing_json(const SpacingReport& report) {
  Json object = Json::object();
  object.add("title", report.context.title);
  object.add("power_w", report.power_w);
  object.add("room_temperature_c", report.context.core.room_temperature_c);
  object.add("limit_temperature_c", report.context.core.limit_temperature_c);
  object.add("fixed_outer_size", report.size_text);
  object.add("limits", report.limits_text);
  object.add("stability_examined", !report.skips_stability);
  object.add("weights", report.weights_text);
  object.add("as_drawn", row_json(report.drawn));
  object.add("best", rows_json(report.best));
  object.add("points", rows_json(rows_of(report)));
  object.add("notes", report.notes);
  return json_text(object);
}

std::string spacing_chart(const SpacingReport& report, const FinLayout& shape) {
  Chart chart;
  chart.title = fmt::format("{}: {:g} W, {} of {:g} mm", report.context.title, report.power_w,
                            report.is_plates ? "plates" : "fins", shape.thickness_mm);
  chart.title += shape.height_mm ? fmt::format(" x {:g} mm", *shape.height_mm) : "";
  chart.x_label = "gap, mm (the outer size is fixed, so their number follows)";
  chart.y_label = "mean rise of the base above the room, K";
  chart.hollow_label = "a mean over time, or not converged";
  std::vector<SpacingPoint> shown;
  std::ranges::copy_if(report.points, std::back_inserter(shown), [&](const SpacingPoint& point) {
    return point.layout.is_shaped_like(shape) && std::isfinite(point.ranked.rise_k.value);
  });
  double highest = 0.0;
  for (const auto& group : groups_by_placing(shown)) {
    ChartSeries series;
    series.label = group.front()->panel + ", " + group.front()->orientation;
    series.colour = static_cast<int>(chart.series.size());
    for (const SpacingPoint* point : group) {
      const double rise = point->ranked.rise_k.value;
      const double gap = point->layout.gap_mm;
      series.points.push_back(chart_point(gap, point->ranked.rise_k,
                                          point->ranked.status != SolveStatus::converged ||
                                              point->ranked.standing != Standing::sound));
      series.curve.push_back({gap, rise, rise, rise});
      highest = std::max(highest, rise);
    }
    chart.series.push_back(series);
  }
  const std::vector<ChartSeries> curves = chart.series;
  for (const SpacingBest& best : report.best) {
    const std::string label = best.panel + ", " + best.orientation;
    const auto curve = std::ranges::find(curves, label, &ChartSeries::label);
    if (curve != curves.end() && std::isfinite(best.closed_form_mm)) {
      chart.series.push_back(formula_mark(*curve, best.closed_form_mm, highest));
    }
  }
  return chart_svg(chart);
}

} // namespace tiltfin
