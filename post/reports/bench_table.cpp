#include "post/fits/student.hpp"
#include "post/reports/bench_report.hpp"
#include "post/reports/choices.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

std::string show_interval(const BenchTrend& trend) {
  const double power = trend.limit.power_w;
  const Interval& limit = trend.limit_95;
  if (!std::isfinite(power) || std::isnan(limit.low)) {
    return "-";
  }
  if (std::isinf(limit.high)) {
    return fmt::format("{:.1f} or more", limit.low);
  }
  return fmt::format("{:.1f} to {:.1f}", limit.low, limit.high);
}

/// The line that was fitted, or the exponent.
std::string show_fit(const Trend& trend) {
  return trend.is_line && trend.n_points > 0
             ? fmt::format("{:.2f} K + {:.3f} K/W", trend.offset_k, trend.factor)
             : show_exponent(trend);
}

std::string limit_table(std::span<const BenchTrend> trends, const BenchContext& context) {
  std::string text = "Power limit, best first\n";
  text += fmt::format("  {:<18} {:<13} {:>10} {:>18} {:>8}  {:<21}  {}\n", "panel", "orientation",
                      "limit, W", "95 % interval", "of best",
                      context.fits_line ? "line" : "exponent (95 %)", "status");
  bool any_extrapolated = false;
  for (const BenchTrend& trend : trends) {
    const double limit = trend.limit.power_w;
    const bool is_starred = trend.limit.extrapolated && std::isfinite(limit);
    any_extrapolated = any_extrapolated || is_starred;
    text += fmt::format("{} {:>9}{} {:>18} {:>8}  {:<21}  {}\n",
                        row_head(trend.panel, trend.orientation), number_or_dash(limit, 1),
                        is_starred ? "*" : " ", show_interval(trend),
                        show_percent(limit / trends.front().limit.power_w), show_fit(trend.trend),
                        with_standing(name(trend.status), trend.standing));
  }
  if (any_extrapolated) {
    text += "  * extrapolated: the limit lies outside the measured powers\n";
  }
  for (const BenchTrend& trend : trends) {
    const std::string who = trend.panel + ", " + trend.orientation;
    text += trend.doubt.empty() ? "" : wrapped("  ", who + ": " + trend.doubt, 4);
  }
  return text;
}

/// What the number of powers does to the width of the intervals.
std::string interval_sentences(std::span<const BenchTrend> trends) {
  std::string text;
  for (const BenchTrend& trend : trends) {
    const int n = trend.trend.n_points;
    const std::string who = trend.panel + ", " + trend.orientation;
    if (n < 3) {
      text += wrapped("  ",
                      fmt::format("{}: no interval from {} power{}; three are the fewest.", who, n,
                                  n == 1 ? "" : "s"),
                      4);
      continue;
    }
    if (n > 4 || std::isnan(trend.limit_95.low)) {
      continue;
    }
    const double half = 0.5 * (trend.limit_95.high - trend.limit_95.low);
    const double width = 100.0 * half / trend.limit.power_w;
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
                  where_measured(context.is_at_base));
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

} // namespace

std::string bench_table(std::span<const BenchRow> rows, std::span<const BenchTrend> trends,
                        const BenchContext& context) {
  std::string text = context.title + "\n";
  const std::string place = resistance_on_top(context) > 0.0
                                ? show_place(context.core)
                                : fmt::format("at the {}", where_measured(context.is_at_base));
  text += fmt::format("Measured. Room {:g} °C, limit {:g} °C {}\n\n",
                      context.core.room_temperature_c, context.core.limit_temperature_c, place);
  text += limit_table(trends, context) + "\n";
  text += interval_sentences(trends);
  std::vector<TurnedLimit> turned;
  for (const BenchTrend& trend : trends) {
    turned.push_back({trend.panel, trend.orientation, trend.limit.power_w});
  }
  text += turning_costs(turned);
  text += soak_table(rows, context) + "\n";
  text += row_table(rows) + "\n";
  text += warnings(rows);
  text += "Settled part: from where a fitted exponential approach lacks 0.25 % of its end, if the "
          "drift\n  afterwards is small or cannot be told from noise. Intervals allow for "
          "neighbouring minutes being\n  alike; offsets of the sensors and of the power meter are "
          "not in them.\n";
  return text + "\n" + short_cautions();
}

} // namespace tiltfin
