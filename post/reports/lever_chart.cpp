#include "post/fits/groups.hpp"
#include "post/reports/lever_report.hpp"
#include "post/views/chart.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double left_edge = 20.0;
constexpr double plot_left = 440.0;
constexpr double plot_across = 420.0;
constexpr double beside_plot = 110.0;
constexpr double first_line = 74.0;
constexpr double row_height = 20.0;
constexpr std::size_t most_letters = 64; // of a change, beside its bar

/// What the bars of a chart share: from the largest loss to the largest gain, 0 among them.
struct WattAxis {
  double low = 0.0;
  double high = 0.0;

  [[nodiscard]] double at(double watts) const {
    return plot_left + plot_across * (watts - low) / (high - low);
  }
};

bool has_bar(const LeverRow& row) {
  return row.verdict != LeverVerdict::not_tried && std::isfinite(row.gain_w.value);
}

WattAxis watt_axis(const LeverReport& report) {
  WattAxis axis;
  for (const LeverRow& row : report.rows) {
    if (has_bar(row)) {
      axis.low = std::min(axis.low, row.gain_w.value - row.gain_w.bar());
      axis.high = std::max(axis.high, row.gain_w.value + row.gain_w.bar());
    }
  }
  axis.high = axis.high > axis.low ? axis.high : axis.low + 1.0;
  return axis;
}

std::string cut(const std::string& text) {
  return text.size() <= most_letters ? text : fmt::format("{:.{}}~", text, most_letters - 1);
}

/// A bar from zero with its error bar and number.
std::string gain_bar(const LeverRow& row, const WattAxis& axis, double y) {
  const double zero = axis.at(0.0);
  const double end = axis.at(row.gain_w.value);
  const double middle = y + 0.5 * row_height - 2.0;
  const bool is_decided = row.verdict != LeverVerdict::undecided;
  std::string text = fmt::format(
      R"(<rect class="gain" x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" fill="{}"{}/>)"
      "\n",
      std::min(zero, end), y, std::abs(end - zero), row_height - 5.0,
      series_colour(row.gain_w.value < 0.0 ? 1 : 0), is_decided ? "" : R"( fill-opacity="0.4")");
  const double low = axis.at(row.gain_w.value - row.gain_w.bar());
  const double high = axis.at(row.gain_w.value + row.gain_w.bar());
  if (high > low) {
    text += svg_line(low, middle, high, middle, ink);
    for (const double tip : {low, high}) {
      text += svg_line(tip, middle - 4.0, tip, middle + 4.0, ink);
    }
  }
  return text +
         svg_text(std::max({zero, end, high}) + 6.0, y + 12.0,
                  fmt::format("{:+.1f} W", std::round(10.0 * row.gain_w.value) / 10.0 + 0.0));
}

} // namespace

std::string lever_chart(const LeverReport& report) {
  const WattAxis axis = watt_axis(report);
  double y = first_line;
  std::string bars;
  for (const LeverPlace& place : report.places) {
    bars += svg_text(left_edge, y + 12.0,
                     fmt::format("{}, {}: {:.1f} W as it is", place.panel, place.orientation,
                                 place.limit.power_w.value),
                     {.size = 13.0, .is_bold = true});
    y += row_height;
    for (const LeverRow& row : report.rows) {
      if (placing_of(row) == placing_of(place) && has_bar(row)) {
        bars +=
            svg_text(plot_left - 10.0, y + 12.0,
                     cut(fmt::format("{}: {}", name(row.lever), row.change)), {.anchor = "end"});
        bars += gain_bar(row, axis, y);
        y += row_height;
      }
    }
    y += 0.5 * row_height;
  }
  const std::string title =
      fmt::format("What single changes bring, W of power limit: {}", report.context.title);
  std::string text = svg_text(left_edge, 32.0, title, {.size = 16.0, .is_bold = true});
  for (const double tick : round_ticks(axis.low, axis.high, 6)) {
    text += svg_line(axis.at(tick), first_line - 8.0, axis.at(tick), y, grid_ink);
    text += svg_text(axis.at(tick), y + 14.0, fmt::format("{:g}", tick), {.anchor = "middle"});
  }
  text += bars + svg_line(axis.at(0.0), first_line - 8.0, axis.at(0.0), y, ink);
  text += svg_text(left_edge, y + 38.0,
                   "lines: estimated error of both meshes; pale: smaller than its error",
                   {.colour = soft_ink});
  return svg_file({plot_left + plot_across + beside_plot, y + 54.0, title, text});
}

} // namespace tiltfin
