#include "post/reports/rank_report.hpp"
#include "post/views/chart.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

namespace tiltfin {
namespace {

constexpr double left = 230.0;
constexpr double plot_width = 520.0;
constexpr double right = 120.0;
constexpr double top = 60.0;
constexpr double bar_height = 16.0;
constexpr double group_gap = 14.0;

double highest_end(const RankReport& report, const std::vector<std::size_t>& shown) {
  double highest = 0.0;
  for (const std::size_t k : shown) {
    for (const SolvedLimit& limit : report.coolers[k].limits) {
      const Estimate& power = limit.power_w;
      if (std::isfinite(power.value)) {
        highest = std::max(highest, power.value + std::min(power.bar(), power.value));
      }
    }
  }
  return highest > 0.0 ? highest : 1.0;
}

/// A bar from the axis with its error bar and number.
std::string bar(const SolvedLimit& limit, double y, double scale, int colour) {
  const Estimate& power = limit.power_w;
  if (!std::isfinite(power.value)) {
    return svg_text(left + 4.0, y + 12.5, "no limit", {.colour = soft_ink});
  }
  const double end = left + scale * power.value;
  const double reach = scale * power.bar();
  const double middle = y + 0.5 * bar_height;
  std::string text = fmt::format(
      R"(<rect class="limit" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="{}"{}/>)"
      "\n",
      left, y, end - left, bar_height - 2.0, series_colour(colour),
      limit.extrapolated ? R"( data-is="extrapolated")" : "");
  if (limit.extrapolated) { // as strong as its entry in the legend, and striped
    text += fmt::format(
        R"x(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="url(#stripes)"/>)x"
        "\n",
        left, y, end - left, bar_height - 2.0);
  }
  if (reach > 0.0) {
    text += svg_line(std::max(left, end - reach), middle, end + reach, middle, ink);
    text += svg_line(end + reach, middle - 4.0, end + reach, middle + 4.0, ink);
  }
  return text + svg_text(end + reach + 6.0, y + 12.0, fmt::format("{:.1f} W", power.value));
}

} // namespace

std::string rank_chart(const RankReport& report) {
  const std::vector<std::size_t> shown = shown_coolers(report);
  const double highest = highest_end(report, shown);
  const double scale = plot_width / highest;
  const auto n_coolers = static_cast<double>(shown.size());
  const double group = bar_height * n_coolers + group_gap;
  const double bottom = top + group * static_cast<double>(report.columns.size());
  const double legend = bottom + 34.0;
  const std::string title =
      fmt::format("Power limit in a room of {:g} °C, limit {:g} °C", report.core.room_temperature_c,
                  report.core.limit_temperature_c);
  std::string text =
      R"x(<defs><pattern id="stripes" width="7" height="7" )x"
      R"x(patternUnits="userSpaceOnUse" patternTransform="rotate(45)">)x"
      R"x(<path d="M0 3.5h7" stroke="#ffffff" stroke-width="2.6"/></pattern></defs>)x"
      "\n";
  text += svg_text(20.0, 32.0, title, {.size = 16.0, .is_bold = true});
  for (const double tick : round_ticks(0.0, highest, 6)) {
    text += svg_line(left + scale * tick, top - 6.0, left + scale * tick, bottom, grid_ink);
    text += svg_text(left + scale * tick, bottom + 14.0, fmt::format("{:g}", tick),
                     {.anchor = "middle"});
  }
  for (std::size_t c = 0; c < report.columns.size(); ++c) {
    const double y = top + group * static_cast<double>(c);
    text += svg_text(left - 10.0, y + 0.5 * (group - group_gap) + 4.0,
                     report.columns[c].panel + ", " + report.columns[c].orientation,
                     {.size = 13.0, .anchor = "end"});
    for (std::size_t k = 0; k < shown.size(); ++k) {
      text += bar(report.coolers[shown[k]].limits[c], y + bar_height * static_cast<double>(k),
                  scale, static_cast<int>(k));
    }
  }
  text += svg_line(left, top - 6.0, left, bottom, ink);
  for (std::size_t k = 0; k < shown.size(); ++k) {
    const double y = legend + 20.0 * static_cast<double>(k);
    const RankedCooler& cooler = report.coolers[shown[k]];
    text += fmt::format(R"(<rect x="20" y="{:.1f}" width="24" height="12" fill="{}"/>)"
                        "\n",
                        y - 10.0, series_colour(static_cast<int>(k)));
    text +=
        svg_text(52.0, y,
                 std::isfinite(cooler.mass_kg)
                     ? fmt::format("{}, {:.0f} g of metal", cooler.name, 1000.0 * cooler.mass_kg)
                     : cooler.name);
  }
  text +=
      svg_text(20.0, legend + 20.0 * n_coolers + 6.0,
               fmt::format("W; striped: extrapolated beyond the solved powers; lines: estimated "
                           "error{}",
                           shown.size() == report.coolers.size()
                               ? ""
                               : fmt::format("; {} of {} coolers: the first and the best of every "
                                             "row",
                                             shown.size(), report.coolers.size())),
               {.colour = soft_ink});
  return svg_file({left + plot_width + right, legend + 20.0 * n_coolers + 26.0, title, text});
}

} // namespace tiltfin
