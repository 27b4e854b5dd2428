#include "post/reports/bench_report.hpp"

#include "post/fits/groups.hpp"
#include "post/reports/core_limit_columns.hpp"
#include "post/reports/table_parts.hpp"
#include "post/reports/trend_row.hpp"
#include "post/text/columns.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double normal_95 = 1.959964;

using BenchGroup = std::vector<const BenchRow*>;

/// Standard errors are those that a normal distribution needs for the soaks' 95 % intervals.
std::vector<TrendPoint> points_of(const BenchGroup& group) {
  std::vector<TrendPoint> points;
  for (const BenchRow* row : group) {
    const Soak& soak = row->soak;
    if (std::isfinite(soak.rise_k)) {
      points.push_back({soak.power_w, soak.rise_k, soak.rise_half_k / normal_95});
    }
  }
  return points;
}

BenchTrend make_trend(const BenchGroup& group, const BenchContext& context) {
  BenchTrend result;
  result.panel = group.front()->panel;
  result.orientation = group.front()->orientation;
  for (const BenchRow* row : group) {
    result.status = std::max(result.status, row->soak.status);
  }
  const std::vector<TrendPoint> points = points_of(group);
  result.trend = context.fits_line ? fit_line(points) : fit_power_law(points);
  const double rise = context.core.rise_k();
  const double on_top = resistance_on_top(context);
  const double limit = fitted_power_limit(result.trend, rise, on_top);
  result.limit.power_w = limit;
  result.limit_95 = fitted_power_limit_interval(result.trend, rise, on_top);
  result.limit.extrapolated =
      std::ranges::none_of(points, [&](const TrendPoint& p) { return p.power_w <= limit; }) ||
      std::ranges::none_of(points, [&](const TrendPoint& p) { return p.power_w >= limit; });
  LimitFacts facts{.power_w = limit,
                   .base_c = context.core.limit_temperature_c -
                             context.core.core_to_base_k_per_w * limit};
  for (const TrendPoint& point : points) {
    facts.lowest_solved_w = std::fmin(facts.lowest_solved_w, point.power_w);
    facts.highest_solved_w = std::fmax(facts.highest_solved_w, point.power_w);
  }
  const Judgement judgement = judge_limit(facts);
  result.standing = judgement.standing;
  result.doubt = fmt::format("{}", fmt::join(judgement.reasons, "; "));
  return result;
}

} // namespace

template <RowOf<Interval> Row, class Visit>
void visit_members(Row& interval, const Visit& visit) {
  visit("low", interval.low);
  visit("high", interval.high);
}

template <RowOf<BenchRow> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  const Soak& soak = row.soak;
  visit("panel", row.panel);
  visit("orientation", row.orientation);
  visit("power_w", soak.power_w);
  visit("status", soak.status);
  visit("rise_k", soak.rise_k);
  visit("rise_standard_error_k", soak.rise_error_k);
  visit("rise_half_width_95_k", soak.rise_half_k);
  visit("rise_per_power_k_per_w", soak.rise_k / soak.power_w, In::csv);
  visit("rise_per_power_standard_error_k_per_w", soak.rise_error_k / soak.power_w, In::csv);
  visit("ambient_c", soak.ambient_c);
  visit("minutes", soak.minutes);
  visit("used_from_min", soak.used_from_min);
  visit("n_means", soak.n_means, In::csv);
  visit("minutes_per_mean", row.minutes_per_mean, In::csv);
  visit("batch_correlation", soak.correlation, In::csv);
  visit("drift_k", soak.drift_k);
  visit("time_constant_min", soak.time_constant_min);
  visit("rows", row.rows);
  visit("rows_used", row.used);
  visit("rows_outside", row.outside, In::csv);
  visit("rows_missing", row.missing);
  visit("rows_bad", row.bad);
  visit("ambient_rows_bad", row.bad_ambient, In::csv);
  visit("empty_minutes", row.empty_minutes, In::csv);
  visit("file", row.file);
  visit("warning", soak.warning);
}

template <RowOf<BenchTrend> Row, class Visit>
void visit_members(Row& row, const Visit& visit) {
  visit("panel", row.panel);
  visit("orientation", row.orientation);
  visit("power_limit_w", row.limit.power_w);
  visit("power_limit_low_w", row.limit_95.low, In::csv);
  visit("power_limit_high_w", row.limit_95.high, In::csv);
  visit("power_limit_95_w", row.limit_95);
  visit("power_limit_extrapolated", row.limit.extrapolated);
  visit("n_points", row.trend.n_points);
  visit("offset_k", row.trend.offset_k);
  visit_trend(row.trend, visit, In::csv);
  visit("status", row.status);
  visit("limit_standing", row.standing);
  visit("limit_doubt", row.doubt);
}

double resistance_on_top(const BenchContext& context) {
  return context.is_at_base ? context.core.core_to_base_k_per_w : 0.0;
}

std::vector<BenchTrend> make_bench_trends(std::span<const BenchRow> rows,
                                          const BenchContext& context) {
  std::vector<BenchTrend> trends;
  for (const BenchGroup& group : groups_by_placing(rows)) {
    trends.push_back(make_trend(group, context));
  }
  std::ranges::stable_sort(trends, [](const BenchTrend& a, const BenchTrend& b) {
    return is_better(a.limit.power_w, b.limit.power_w);
  });
  return trends;
}

std::string bench_csv(std::span<const BenchRow> rows) {
  return csv_table(rows);
}

std::string bench_trend_csv(std::span<const BenchTrend> trends) {
  return csv_table(trends);
}

std::string bench_json(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                       const BenchContext& context) {
  Json object = Json::object();
  object.add("title", context.title);
  object.add("measured_at", where_measured(context.is_at_base));
  visit_members(context.core, JsonWriter{object});
  object.add("soaks", rows_json(rows));
  object.add("trends", rows_json(trends));
  return json_text(object);
}

namespace {

/// Measured points with their error bars, the fit and its band.
ChartSeries series_of(const BenchGroup& group, const BenchTrend& trend, int colour) {
  ChartSeries series;
  series.label = trend.panel + ", " + trend.orientation;
  series.colour = colour;
  double highest = 0.0;
  for (const BenchRow* row : group) {
    const Soak& soak = row->soak;
    if (std::isfinite(soak.rise_k)) {
      series.points.push_back({soak.power_w, soak.rise_k, soak.rise_k - soak.rise_half_k,
                               soak.rise_k + soak.rise_half_k, soak.status != SoakStatus::settled});
      highest = std::max(highest, soak.power_w);
    }
  }
  if (trend.trend.n_points == 0) {
    return series;
  }
  series.solid_to = highest;
  constexpr double far = 6.0;                // beyond it the measured points would be too close
  if (trend.limit.power_w < far * highest) { // show where the limit is met
    highest = std::max(highest, trend.limit.power_w);
  }
  constexpr int pieces = 48;
  for (int k = 1; k <= pieces; ++k) {
    const double power = highest * k / pieces;
    const Interval band = fitted_rise_interval(trend.trend, power);
    series.curve.push_back({power, fitted_rise(trend.trend, power), band.low, band.high});
  }
  return series;
}

} // namespace

std::string bench_chart(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                        const BenchContext& context) {
  Chart chart;
  chart.title = context.title;
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above ambient, K", where_measured(context.is_at_base));
  chart.hollow_label = "a soak that never settled";
  if (resistance_on_top(context) == 0.0) {
    chart.level = context.core.rise_k();
    chart.level_label =
        fmt::format("limit {:g} °C in a room of {:g} °C", context.core.limit_temperature_c,
                    context.core.room_temperature_c);
  }
  const std::vector<BenchGroup> groups = groups_by_placing(rows);
  for (const BenchTrend& trend : trends) {
    const auto group = std::ranges::find_if(groups, [&](const BenchGroup& candidate) {
      return placing_of(*candidate.front()) == placing_of(trend);
    });
    chart.series.push_back(series_of(group == groups.end() ? BenchGroup{} : *group, trend,
                                     static_cast<int>(chart.series.size())));
  }
  const auto goes_on = [](const ChartSeries& series) {
    return !series.curve.empty() && series.curve.back().x > series.solid_to;
  };
  if (std::ranges::any_of(chart.series, goes_on)) {
    chart.note = "dashed: beyond the measured powers";
  }
  return chart_svg(chart);
}

} // namespace tiltfin
