#include "post/bench_report.hpp"

#include "post/chart.hpp"
#include "post/table_parts.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

using Json = nlohmann::ordered_json;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();
constexpr double normal_95 = 1.959964;

bool is_together(const BenchRow& row, const TrendRow& trend) {
  return row.panel == trend.panel && row.orientation == trend.orientation;
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

double resistance_on_top(const BenchContext& context) {
  return context.is_at_base ? context.die_to_base_k_per_w : 0.0;
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

std::string show_interval(const BenchTrend& trend) {
  const double power = trend.row.limit.power_w;
  const Interval& limit = trend.limit;
  if (!std::isfinite(power) || std::isnan(limit.low)) {
    return "-";
  }
  if (std::isinf(limit.high)) {
    return fmt::format("{:.1f} or more", limit.low);
  }
  return fmt::format("{:.1f} to {:.1f}", limit.low, limit.high);
}

std::string show_exponent(const Trend& trend) {
  if (trend.n_points == 0) {
    return "-";
  }
  if (trend.is_line) {
    return fmt::format("{:.2f} K + {:.3f} K/W", trend.offset_k, trend.factor);
  }
  if (trend.n_points > 2) {
    return fmt::format("{:.3f} ({:.2f} to {:.2f})", trend.exponent, trend.exponent_low,
                       trend.exponent_high);
  }
  return trend.n_points == 2 ? fmt::format("{:.3f}", trend.exponent) : "1 (assumed)";
}

std::string limit_table(std::span<const BenchTrend> trends, const BenchContext& context) {
  std::string text = "Power limit, best first\n";
  text += fmt::format("  {:<18} {:<13} {:>10} {:>18} {:>8}  {:<21}  {}\n", "panel", "orientation",
                      "limit, W", "95 % interval", "of best",
                      context.fits_line ? "line" : "exponent (95 %)", "status");
  bool any_extrapolated = false;
  for (const BenchTrend& trend : trends) {
    const TrendRow& row = trend.row;
    const double share = 100.0 * row.limit.power_w / trends.front().row.limit.power_w;
    const bool is_starred = row.limit.extrapolated && std::isfinite(row.limit.power_w);
    any_extrapolated = any_extrapolated || is_starred;
    text += fmt::format("{} {:>9}{} {:>18} {:>8}  {:<21}  {}\n",
                        row_head(row.panel, row.orientation), with_error(row.limit.power_w, nan),
                        is_starred ? "*" : " ", show_interval(trend),
                        std::isfinite(share) ? fmt::format("{:.0f} %", share) : "-",
                        show_exponent(row.trend), row.status);
  }
  if (any_extrapolated) {
    text += "  * extrapolated: the limit lies outside the measured powers\n";
  }
  return text;
}

/// What the number of powers does to the width of the intervals.
std::string interval_sentences(std::span<const BenchTrend> trends) {
  std::string text;
  for (const BenchTrend& trend : trends) {
    const TrendRow& row = trend.row;
    const int n = row.trend.n_points;
    const std::string who = row.panel + ", " + row.orientation;
    if (n < 3) {
      text += wrapped("  ",
                      fmt::format("{}: no interval from {} power{}; three are the fewest.", who, n,
                                  n == 1 ? "" : "s"),
                      4);
      continue;
    }
    if (n > 4 || std::isnan(trend.limit.low)) {
      continue;
    }
    const double width = 100.0 * row.power_limit_error_w / row.limit.power_w;
    const std::string found = std::isfinite(width)
                                  ? fmt::format("the limit is known to ±{:.0f} %", width)
                                  : "the limit has no upper bound";
    text +=
        wrapped("  ",
                fmt::format("{}: {}; {} points leave {} degree{} of freedom (Student's t {:.1f} "
                            "instead of 2), so further powers narrow it.",
                            who, found, n, n - 2, n == 3 ? "" : "s", student_quantile(n - 2)),
                4);
  }
  return text.empty() ? text : text + "\n";
}

std::string soak_table(std::span<const BenchRow> rows, const BenchContext& context) {
  std::string text =
      fmt::format("Settled rise of the {} above ambient (± half of the 95 % interval)\n",
                  context.is_at_base ? "base" : "core");
  text += fmt::format("  {:<18} {:<13} {:>8} {:>14} {:>15} {:>9} {:>11}  {}\n", "panel",
                      "orientation", "W", "rise, K", "K/W", "room, °C", "used, min", "status");
  for (const BenchRow& row : rows) {
    const Soak& soak = row.soak;
    std::string ratio = "-";
    if (std::isfinite(soak.rise_k)) {
      ratio = fmt::format("{:.3f} ±{:.3f}", soak.rise_k / soak.power_w,
                          soak.rise_half_k / soak.power_w);
    }
    text += fmt::format(
        "{} {:>8.2f} {:>14} {:>15} {:>9.1f} {:>11}  {}\n", row_head(row.panel, row.orientation),
        soak.power_w, with_error(soak.rise_k, soak.rise_half_k), ratio, soak.ambient_c,
        fmt::format("{:.0f} to {:.0f}", soak.used_from_min, soak.minutes), name(soak.status));
  }
  return text;
}

/// Rows of one file are listed once: parts of one log were read from the same rows.
std::string row_table(std::span<const BenchRow> rows) {
  std::string text = "Rows of the logs\n";
  text += fmt::format("  {:<40} {:>9} {:>9} {:>9} {:>7} {:>9}\n", "log", "rows", "used", "missing",
                      "bad", "min empty");
  for (const BenchRow& row : rows) {
    std::string file = row.file;
    if (file.size() > 40) {
      file = "~" + file.substr(file.size() - 39);
    }
    text += fmt::format("  {:<40} {:>9} {:>9} {:>9} {:>7} {:>9}\n", file, row.rows, row.used,
                        row.missing, row.bad + row.bad_ambient, row.empty_minutes);
  }
  std::vector<std::string> seen;
  for (const BenchRow& row : rows) {
    for (const std::string& note : row.notes) {
      const std::string line = row.file + ": " + note;
      if (std::ranges::find(seen, line) == seen.end()) {
        seen.push_back(line);
        text += wrapped("  ", line, 4);
      }
    }
  }
  return text;
}

std::string warnings(std::span<const BenchRow> rows) {
  std::string text;
  for (const BenchRow& row : rows) {
    if (!row.soak.warning.empty()) {
      text += wrapped("  ",
                      fmt::format("{}, {}, {:.2f} W: {}", row.panel, row.orientation,
                                  row.soak.power_w, row.soak.warning),
                      4);
    }
    if (row.minutes_per_mean > 1) {
      text +=
          wrapped("  ",
                  fmt::format("{}, {}, {:.2f} W: a long log, means are over {} min each", row.panel,
                              row.orientation, row.soak.power_w, row.minutes_per_mean),
                  4);
    }
  }
  return text.empty() ? text : "Warnings\n" + text + "\n";
}

Json interval_json(const Interval& interval) {
  return Json{{"low", interval.low}, {"high", interval.high}};
}

} // namespace

double equivalent_error(const Soak& soak) {
  return soak.rise_half_k / normal_95;
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

std::string bench_table(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                        const BenchContext& context) {
  std::string text = context.title + "\n";
  text += fmt::format("Measured. Room {:g} °C, limit {:g} °C ", context.room_temperature_c,
                      context.limit_temperature_c);
  text +=
      resistance_on_top(context) > 0.0
          ? fmt::format("at the core ({:g} K/W from die to base)\n\n", context.die_to_base_k_per_w)
          : fmt::format("at the {}\n\n", context.is_at_base ? "base" : "core");
  text += limit_table(trends, context) + "\n";
  text += interval_sentences(trends);
  std::vector<TrendRow> plain;
  for (const BenchTrend& trend : trends) {
    plain.push_back(trend.row);
  }
  text += turning_costs(plain);
  text += soak_table(rows, context) + "\n";
  text += row_table(rows) + "\n";
  text += warnings(rows);
  text += "Settled part: from where a fitted exponential approach lacks 0.25 % of its end, if the "
          "drift\n  afterwards is small or cannot be told from noise. Intervals allow for "
          "neighbouring minutes being\n  alike; offsets of the sensors and of the power meter are "
          "not in them.\n";
  text += "\nCautions\n"
          "  A cooler may be hot enough to burn long before it fails, and stays hot after "
          "switching off.\n"
          "  Work on mains-powered equipment is for those licensed to do it; local codes apply.\n"
          "  The chip maker's limits prevail over any power limit in this table.\n";
  return text;
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
  return object.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string bench_chart(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                        const BenchContext& context) {
  Chart chart;
  chart.title = context.title;
  chart.x_label = "power, W";
  chart.y_label =
      fmt::format("rise of the {} above ambient, K", context.is_at_base ? "base" : "core");
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
