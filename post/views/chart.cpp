#include "post/views/chart.hpp"

#include "post/views/svg.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <span>

namespace tiltfin {
namespace {

constexpr double width = 760.0;
constexpr double left = 74.0;
constexpr double right = 20.0;
constexpr double top = 44.0;
constexpr double plot_height = 400.0;
constexpr double axis_height = 54.0;
constexpr double legend_row = 20.0;

/// Hues of Okabe and Ito, Color Universal Design (2008), from memory, with lightness moved so that
/// no two are alike in print either.
constexpr std::array<const char*, n_series_colours> colours{
    "#0070b0", "#ce5700", "#029f74", "#d483b0", "#69c9fd", "#e6a004", "#4d4d4d"};

const char* colour_of(const ChartSeries& series) {
  return series_colour(series.colour);
}

struct Axes {
  double x_low = 0.0;
  double x_high = 1.0;
  double y_low = 0.0;
  double y_high = 1.0;

  [[nodiscard]] double page_x(double x) const {
    return left + (width - left - right) * (x - x_low) / (x_high - x_low);
  }
  [[nodiscard]] double page_y(double y) const {
    return top + plot_height * (y_high - y) / (y_high - y_low);
  }
  [[nodiscard]] double cut_y(double y) const { return std::clamp(y, y_low, y_high); }
};

bool is_finite(const ChartPoint& point) {
  return std::isfinite(point.x) && std::isfinite(point.y);
}

void widen(Axes& axes, const std::vector<ChartPoint>& points) {
  for (const ChartPoint& point : points) {
    if (is_finite(point)) {
      axes.x_low = std::min(axes.x_low, point.x);
      axes.x_high = std::max(axes.x_high, point.x);
      axes.y_low = std::min(axes.y_low, point.y);
      axes.y_high = std::max(axes.y_high, point.y);
    }
  }
}

/// Highest finite end of an error bar.
double highest_bar(const Chart& chart) {
  double highest = 0.0;
  for (const ChartSeries& series : chart.series) {
    for (const ChartPoint& point : series.points) {
      if (is_finite(point) && std::isfinite(point.high)) {
        highest = std::max(highest, point.high);
      }
    }
  }
  return highest;
}

/// Points and curves decide the range; error bars widen it by at most half as much again, for an
/// interval may be endless.
Axes axes_of(const Chart& chart) {
  Axes axes{0.0, 0.0, 0.0, 0.0};
  for (const ChartSeries& series : chart.series) {
    widen(axes, series.points);
    widen(axes, series.curve);
  }
  if (!chart.level_label.empty() && std::isfinite(chart.level)) {
    axes.y_high = std::max(axes.y_high, chart.level);
  }
  axes.y_high = std::max(axes.y_high, std::min(highest_bar(chart), 1.5 * axes.y_high));
  axes.x_high = axes.x_high > axes.x_low ? axes.x_low + 1.06 * (axes.x_high - axes.x_low) : 1.0;
  axes.y_high = axes.y_high > axes.y_low ? axes.y_low + 1.06 * (axes.y_high - axes.y_low) : 1.0;
  return axes;
}

std::string draw_axes(const Chart& chart, const Axes& axes) {
  const double bottom = top + plot_height;
  std::string text;
  for (const double x : round_ticks(axes.x_low, axes.x_high, 8)) {
    text += svg_line(axes.page_x(x), top, axes.page_x(x), bottom, grid_ink, 1.0);
    text += svg_text(axes.page_x(x), bottom + 18.0, fmt::format("{:g}", x), {.anchor = "middle"});
  }
  for (const double y : round_ticks(axes.y_low, axes.y_high, 8)) {
    text += svg_line(left, axes.page_y(y), width - right, axes.page_y(y), grid_ink, 1.0);
    text += svg_text(left - 8.0, axes.page_y(y) + 4.0, fmt::format("{:g}", y), {.anchor = "end"});
  }
  text += svg_line(left, bottom, width - right, bottom, ink, 1.2);
  text += svg_line(left, top, left, bottom, ink, 1.2);
  text +=
      svg_text(0.5 * width, 24.0, chart.title, {.size = 15.0, .anchor = "middle", .is_bold = true});
  text += svg_text(0.5 * (left + width - right), bottom + 40.0, chart.x_label,
                   {.size = 13.0, .anchor = "middle"});
  const double middle = top + 0.5 * plot_height;
  text +=
      svg_text(24.0, middle, chart.y_label, {.size = 13.0, .anchor = "middle", .turn_deg = -90.0});
  if (!chart.level_label.empty() && std::isfinite(chart.level)) {
    const double y = axes.page_y(axes.cut_y(chart.level));
    text += svg_line(left, y, width - right, y, "#a02020", 1.2, R"( stroke-dasharray="2 3")");
    text += svg_text(left + 8.0, y - 5.0, chart.level_label, {.colour = "#a02020"});
  }
  return text;
}

/// From low to high along the curve; empty when there is none.
std::string band_path(const std::vector<ChartPoint>& curve, const Axes& axes) {
  std::string upper;
  std::vector<std::string> lower; // from the last point back
  for (const ChartPoint& point : curve) {
    const double x = axes.page_x(point.x);
    const double low = std::isfinite(point.low) ? point.low : axes.y_low;
    const double high = std::isfinite(point.high) ? point.high : axes.y_high;
    upper +=
        fmt::format("{}{:.1f} {:.1f}", upper.empty() ? "M" : "L", x, axes.page_y(axes.cut_y(high)));
    lower.push_back(fmt::format("L{:.1f} {:.1f}", x, axes.page_y(axes.cut_y(low))));
  }
  std::ranges::reverse(lower);
  return fmt::format("{}{}Z", upper, fmt::join(lower, ""));
}

std::string curve_line(std::span<const ChartPoint> points, const Axes& axes, const char* colour,
                       bool is_dashed) {
  std::string path;
  for (const ChartPoint& point : points) {
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", axes.page_x(point.x),
                        axes.page_y(point.y));
  }
  return fmt::format(R"(<path d="{}" fill="none" stroke="{}" stroke-width="1.8"{}/>)"
                     "\n",
                     path, colour, is_dashed ? R"( stroke-dasharray="7 4")" : "");
}

std::string draw_curve(const ChartSeries& series, const Axes& axes) {
  std::vector<ChartPoint> curve;
  std::ranges::copy_if(series.curve, std::back_inserter(curve), is_finite);
  if (curve.empty()) {
    return "";
  }
  const char* colour = colour_of(series);
  std::string text = fmt::format(R"(<path d="{}" fill="{}" fill-opacity="0.12"/>)"
                                 "\n",
                                 band_path(curve, axes), colour);
  const auto n_solid = static_cast<std::size_t>(std::max<std::ptrdiff_t>(
      std::ranges::count_if(
          curve, [&series](const ChartPoint& point) { return point.x <= series.solid_to; }),
      1));
  const std::span<const ChartPoint> all(curve);
  text += curve_line(all.first(n_solid), axes, colour, series.is_dashed);
  if (n_solid < curve.size()) {
    text += curve_line(all.subspan(n_solid - 1), axes, colour, true);
  }
  return text;
}

std::string marker(double x, double y, const ChartSeries& series, bool is_hollow) {
  const char* colour = colour_of(series);
  if (series.marker == Marker::frame) {
    return fmt::format(R"(<rect class="frame" x="{:.1f}" y="{:.1f}" width="13" height="13" )"
                       R"(fill="none" stroke="{}" stroke-width="1.6"{}/>)"
                       "\n",
                       x - 6.5, y - 6.5, colour, is_hollow ? R"( stroke-dasharray="2 2")" : "");
  }
  const double r = series.is_small ? 2.6 : 4.5;
  const std::string style =
      fmt::format(R"(fill="{}" stroke="{}" stroke-width="{:g}")", is_hollow ? "#ffffff" : colour,
                  colour, series.is_small ? 0.8 : 1.5);
  switch (series.marker) {
  case Marker::square:
    return fmt::format(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" {}/>)"
                       "\n",
                       x - 0.9 * r, y - 0.9 * r, 1.8 * r, 1.8 * r, style);
  case Marker::diamond:
    return fmt::format(
        R"(<path class="marker" d="M{0:.1f} {1:.1f}l{2:.1f} {2:.1f}l-{2:.1f} {2:.1f})"
        R"(l-{2:.1f} -{2:.1f}Z" {3}/>)"
        "\n",
        x, y - 1.3 * r, 1.3 * r, style);
  case Marker::triangle:
    return fmt::format(R"(<path class="marker" d="M{:.1f} {:.1f}l{:.1f} {:.1f}h-{:.1f}Z" {}/>)"
                       "\n",
                       x, y - 1.2 * r, 1.2 * r, 2.1 * r, 2.4 * r, style);
  default:
    return fmt::format(R"(<circle cx="{:.1f}" cy="{:.1f}" r="{:.1f}" {}/>)"
                       "\n",
                       x, y, r, style);
  }
}

std::string draw_points(const ChartSeries& series, const Axes& axes) {
  std::string text;
  for (const ChartPoint& point : series.points) {
    if (!is_finite(point)) {
      continue;
    }
    const double x = axes.page_x(point.x);
    if (point.high > point.low) {
      const double y0 = axes.page_y(axes.cut_y(point.low));
      const double y1 = axes.page_y(axes.cut_y(point.high));
      const char* colour = colour_of(series);
      text += svg_line(x, y0, x, y1, colour, 1.4) +
              svg_line(x - 4.0, y0, x + 4.0, y0, colour, 1.4) +
              svg_line(x - 4.0, y1, x + 4.0, y1, colour, 1.4);
    }
    text += marker(x, axes.page_y(point.y), series, point.is_doubtful);
  }
  return text;
}

/// Whether a point of a frame, or of any other marker, is doubtful.
bool has_hollow(const Chart& chart, bool is_frame) {
  return std::ranges::any_of(chart.series, [is_frame](const ChartSeries& series) {
    return (series.marker == Marker::frame) == is_frame &&
           std::ranges::any_of(series.points, &ChartPoint::is_doubtful);
  });
}

/// Entries side by side while they fit, below the axis; `height` is what they take.
std::string draw_legend(const Chart& chart, double& height) {
  std::string text;
  double x = left;
  double y = top + plot_height + axis_height + 12.0;
  for (const ChartSeries& series : chart.series) {
    if (series.label.empty()) {
      continue;
    }
    const double needed = 44.0 + text_width(series.label, 12.0);
    if (x + needed > width - right && x > left) {
      x = left;
      y += legend_row;
    }
    if (!series.curve.empty()) {
      text += svg_line(x, y - 4.0, x + 24.0, y - 4.0, colour_of(series), 1.8,
                       series.is_dashed ? R"( stroke-dasharray="7 4")" : "");
    }
    if (!series.points.empty()) {
      text += marker(x + 12.0, y - 4.0, series, false);
    }
    text += svg_text(x + 30.0, y, series.label);
    x += needed;
  }
  const auto say = [&text, &y](const std::string& words) {
    y += legend_row;
    text += svg_text(left, y, words);
  };
  if (!chart.hollow_label.empty() && has_hollow(chart, false)) {
    say("hollow: " + chart.hollow_label);
  }
  if (!chart.hollow_label.empty() && has_hollow(chart, true)) {
    say("dotted frame: " + chart.hollow_label);
  }
  if (!chart.note.empty()) {
    say(chart.note);
  }
  height = y - (top + plot_height + axis_height) + 14.0;
  return text;
}

} // namespace

const char* series_colour(int number) {
  return colours[static_cast<std::size_t>(number) % colours.size()];
}

SeriesLook series_look(int number) {
  constexpr std::array<Marker, 4> markers{Marker::disc, Marker::square, Marker::diamond,
                                          Marker::triangle};
  return {number % n_series_colours,
          markers[static_cast<std::size_t>(number / n_series_colours) % markers.size()]};
}

std::string chart_svg(const Chart& chart) {
  const Axes axes = axes_of(chart);
  double legend_height = 0.0;
  const std::string legend = draw_legend(chart, legend_height);
  std::string text = draw_axes(chart, axes);
  for (const ChartSeries& series : chart.series) {
    text += draw_curve(series, axes);
  }
  for (const bool is_frame : {true, false}) {
    for (const ChartSeries& series : chart.series) {
      if ((series.marker == Marker::frame) == is_frame) {
        text += draw_points(series, axes);
      }
    }
  }
  return svg_file(
      {width, top + plot_height + axis_height + legend_height, chart.title, text + legend});
}

} // namespace tiltfin
