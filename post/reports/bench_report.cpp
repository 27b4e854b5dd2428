#include "post/reports/bench_report.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/json_parts.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double normal_95 = 1.959964;

bool is_together(const BenchRow& row, const TrendRow& trend) {
  return row.panel == trend.panel && row.orientation == trend.orientation;
}

/// Standard error that a normal distribution needs for the soak's 95 % interval [K].
double equivalent_error(const Soak& soak) {
  return soak.rise_half_k / normal_95;
}

std::vector<TrendPoint> points_of(std::span<const BenchRow> rows, const TrendRow& trend) {
  std::vector<TrendPoint> points;
  for (const BenchRow& row : rows) {
    if (is_together(row, trend) && std::isfinite(row.soak.rise_k)) {
      points.push_back({row.soak.power_w, row.soak.rise_k, equivalent_error(row.soak)});
    }
  }
  return points;
}

double limit_rise(const BenchContext& context) {
  return context.limit_temperature_c - context.room_temperature_c;
}

BenchTrend make_trend(std::span<const BenchRow> rows, const BenchRow& first,
                      const BenchContext& context) {
  BenchTrend result;
  TrendRow& row = result.row;
  row.panel = first.panel;
  row.orientation = first.orientation;
  SoakStatus worst = SoakStatus::settled;
  for (const BenchRow& other : rows) {
    if (is_together(other, row)) {
      worst = std::max(worst, other.soak.status);
    }
  }
  row.status = name(worst);
  const std::vector<TrendPoint> points = points_of(rows, row);
  row.trend = context.fits_line ? fit_line(points) : fit_power_law(points);
  const double rise = limit_rise(context);
  const double on_top = resistance_on_top(context);
  row.limit.power_w = fitted_power_limit(row.trend, rise, on_top);
  result.limit = fitted_power_limit_interval(row.trend, rise, on_top);
  row.power_limit_error_w = 0.5 * (result.limit.high - result.limit.low);
  row.limit.extrapolated =
      std::ranges::none_of(points,
                           [&](const TrendPoint& p) { return p.power_w <= row.limit.power_w; }) ||
      std::ranges::none_of(points,
                           [&](const TrendPoint& p) { return p.power_w >= row.limit.power_w; });
  return result;
}

Json interval_json(const Interval& interval) {
  return Json{{"low", interval.low}, {"high", interval.high}};
}

} // namespace

double resistance_on_top(const BenchContext& context) {
  return context.is_at_base ? context.die_to_base_k_per_w : 0.0;
}

std::vector<BenchTrend> make_bench_trends(std::span<const BenchRow> rows,
                                          const BenchContext& context) {
  std::vector<BenchTrend> trends;
  for (const BenchRow& row : rows) {
    const bool is_known = std::ranges::any_of(
        trends, [&](const BenchTrend& trend) { return is_together(row, trend.row); });
    if (!is_known) {
      trends.push_back(make_trend(rows, row, context));
    }
  }
  const auto power = [](const BenchTrend& trend) {
    const double limit = trend.row.limit.power_w;
    return std::isnan(limit) ? -1.0 : limit;
  };
  std::ranges::stable_sort(
      trends, [&](const BenchTrend& a, const BenchTrend& b) { return power(a) > power(b); });
  return trends;
}

std::string bench_csv(std::span<const BenchRow> rows) {
  std::string text =
      "panel,orientation,power_w,status,rise_k,rise_standard_error_k,rise_half_width_95_k,"
      "rise_per_power_k_per_w,rise_per_power_standard_error_k_per_w,ambient_c,minutes,"
      "used_from_min,n_means,minutes_per_mean,batch_correlation,drift_k,time_constant_min,rows,"
      "rows_used,rows_outside,rows_missing,rows_bad,ambient_rows_bad,empty_minutes,file,warning\n";
  for (const BenchRow& row : rows) {
    const Soak& soak = row.soak;
    std::vector<std::string> cells{csv_text(row.panel), csv_text(row.orientation),
                                   csv_value(soak.power_w), name(soak.status)};
    for (const double value :
         {soak.rise_k, soak.rise_error_k, soak.rise_half_k, soak.rise_k / soak.power_w,
          soak.rise_error_k / soak.power_w, soak.ambient_c, soak.minutes, soak.used_from_min,
          static_cast<double>(soak.n_means), static_cast<double>(row.minutes_per_mean),
          soak.correlation, soak.drift_k, soak.time_constant_min}) {
      cells.push_back(csv_value(value));
    }
    for (const long long count : {row.rows, row.used, row.outside, row.missing, row.bad,
                                  row.bad_ambient, row.empty_minutes}) {
      cells.push_back(fmt::format("{}", count));
    }
    cells.push_back(csv_text(row.file));
    cells.push_back(csv_text(soak.warning));
    text += csv_line(cells);
  }
  return text;
}

std::string bench_trend_csv(std::span<const BenchTrend> trends) {
  std::string text = "panel,orientation,power_limit_w,power_limit_low_w,power_limit_high_w,"
                     "power_limit_extrapolated,n_points,offset_k,factor_k_per_w_to_exponent,"
                     "exponent,exponent_low,exponent_high,largest_misfit,status\n";
  for (const BenchTrend& trend : trends) {
    const TrendRow& row = trend.row;
    text += csv_line({csv_text(row.panel), csv_text(row.orientation), csv_value(row.limit.power_w),
                      csv_value(trend.limit.low), csv_value(trend.limit.high),
                      row.limit.extrapolated ? "yes" : "no", fmt::format("{}", row.trend.n_points),
                      csv_value(row.trend.offset_k), csv_value(row.trend.factor),
                      csv_value(row.trend.exponent), csv_value(row.trend.exponent_low),
                      csv_value(row.trend.exponent_high), csv_value(row.trend.largest_misfit),
                      row.status});
  }
  return text;
}

std::string bench_json(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                       const BenchContext& context) {
  Json object;
  object["title"] = context.title;
  object["measured_at"] = context.is_at_base ? "base" : "core";
  object["room_temperature_c"] = context.room_temperature_c;
  object["limit_temperature_c"] = context.limit_temperature_c;
  object["die_to_base_k_per_w"] = context.die_to_base_k_per_w;
  object["soaks"] = Json::array();
  for (const BenchRow& row : rows) {
    const Soak& soak = row.soak;
    object["soaks"].push_back(Json{{"panel", row.panel},
                                   {"orientation", row.orientation},
                                   {"power_w", soak.power_w},
                                   {"status", name(soak.status)},
                                   {"rise_k", soak.rise_k},
                                   {"rise_standard_error_k", soak.rise_error_k},
                                   {"rise_half_width_95_k", soak.rise_half_k},
                                   {"ambient_c", soak.ambient_c},
                                   {"minutes", soak.minutes},
                                   {"used_from_min", soak.used_from_min},
                                   {"drift_k", soak.drift_k},
                                   {"time_constant_min", soak.time_constant_min},
                                   {"rows", row.rows},
                                   {"rows_used", row.used},
                                   {"rows_missing", row.missing},
                                   {"rows_bad", row.bad},
                                   {"file", row.file},
                                   {"warning", soak.warning}});
  }
  object["trends"] = Json::array();
  for (const BenchTrend& trend : trends) {
    const TrendRow& row = trend.row;
    object["trends"].push_back(Json{{"panel", row.panel},
                                    {"orientation", row.orientation},
                                    {"power_limit_w", row.limit.power_w},
                                    {"power_limit_95_w", interval_json(trend.limit)},
                                    {"power_limit_extrapolated", row.limit.extrapolated},
                                    {"n_points", row.trend.n_points},
                                    {"offset_k", row.trend.offset_k},
                                    {"factor_k_per_w_to_exponent", row.trend.factor},
                                    {"exponent", row.trend.exponent},
                                    {"exponent_low", row.trend.exponent_low},
                                    {"exponent_high", row.trend.exponent_high},
                                    {"status", row.status}});
  }
  return json_text(object);
}

std::string bench_chart(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                        const BenchContext& context) {
  Chart chart;
  chart.title = context.title;
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above ambient, K", context.is_at_base ? "base" : "core");
  chart.hollow_label = "a soak that never settled";
  if (resistance_on_top(context) == 0.0) {
    chart.level = limit_rise(context);
    chart.level_label = fmt::format("limit {:g} °C in a room of {:g} °C",
                                    context.limit_temperature_c, context.room_temperature_c);
  }
  for (const BenchTrend& trend : trends) {
    ChartSeries series;
    series.label = trend.row.panel + ", " + trend.row.orientation;
    series.colour = static_cast<int>(chart.series.size());
    double highest = 0.0;
    for (const BenchRow& row : rows) {
      const Soak& soak = row.soak;
      if (is_together(row, trend.row) && std::isfinite(soak.rise_k)) {
        series.points.push_back({soak.power_w, soak.rise_k, soak.rise_k - soak.rise_half_k,
                                 soak.rise_k + soak.rise_half_k,
                                 soak.status != SoakStatus::settled});
        highest = std::max(highest, soak.power_w);
      }
    }
    if (trend.row.trend.n_points > 0) {
      if (trend.row.limit.power_w < 2.0 * highest) { // show where the limit is met, if near
        highest = std::max(highest, trend.row.limit.power_w);
      }
      constexpr int pieces = 48;
      for (int k = 1; k <= pieces; ++k) {
        const double power = highest * k / pieces;
        const Interval band = fitted_rise_interval(trend.row.trend, power);
        series.curve.push_back({power, fitted_rise(trend.row.trend, power), band.low, band.high});
      }
    }
    chart.series.push_back(series);
  }
  return chart_svg(chart);
}

} // namespace tiltfin
