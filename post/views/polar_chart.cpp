#include "post/views/polar_chart.hpp"

#include "post/views/chart.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tiltfin {
namespace {

constexpr double page_width = 540.0;
constexpr double middle_x = 0.5 * page_width;
constexpr double middle_y = 236.0;
constexpr double outer_radius = 165.0;
constexpr double legend_top = 492.0;
constexpr double row_height = 19.0;
constexpr double label_size = 10.5;
constexpr int ray_step_deg = 30;
constexpr double scale_ray_deg = -52.0; // that the rings' values stand along: between two rays

struct Place {
  double x = 0.0;
  double y = 0.0;
};

Place place_at(double angle_deg, double radius) {
  const double angle = angle_deg * std::numbers::pi / 180.0;
  return {middle_x - radius * std::sin(angle), middle_y - radius * std::cos(angle)};
}

double highest_value(const PolarChart& chart) {
  double highest = 0.0;
  for (const PolarSeries& series : chart.series) {
    for (const PolarPoint& point : series.points) {
      if (std::isfinite(point.value)) {
        const double bar = std::isfinite(point.high) ? point.high : point.value;
        highest = std::max({highest, point.value, std::min(bar, 1.5 * point.value)});
      }
    }
  }
  return highest > 0.0 ? highest : 1.0;
}

double angle_apart(double a, double b) {
  return std::abs(std::remainder(a - b, 360.0));
}

std::string rays(const PolarChart& chart) {
  std::string text;
  for (int angle = 0; angle < 360; angle += ray_step_deg) {
    const Place end = place_at(angle, outer_radius);
    text += svg_line(middle_x, middle_y, end.x, end.y, grid_ink, 1.0);
    const bool is_named = std::ranges::any_of(chart.names, [&](const PolarName& name) {
      return angle_apart(name.angle_deg, angle) < 12.0;
    });
    if (!is_named) {
      const Place label = place_at(angle, outer_radius + 18.0);
      text += svg_text(label.x, label.y + 4.0, fmt::format("{}°", angle),
                       {.anchor = "middle", .colour = soft_ink});
    }
  }
  return text;
}

struct Rings {
  std::string circles;
  std::string labels;
};

/// The labels stand on grounds of their own, over the curves.
Rings rings(double scale, double highest, const std::string& unit) {
  std::string circles;
  std::string labels;
  for (const double value : round_ticks(0.0, highest, 4)) {
    if (value <= 0.0) {
      continue;
    }
    circles += fmt::format(R"(<circle cx="{:.1f}" cy="{:.1f}" r="{:.1f}" fill="none" stroke="{}"/>)"
                           "\n",
                           middle_x, middle_y, scale * value, grid_ink);
    const Place place = place_at(scale_ray_deg, scale * value);
    const std::string label = fmt::format("{:g} {}", value, unit);
    const double wide = text_width(label, label_size) + 4.0;
    labels += fmt::format(R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="13" )"
                          R"(fill="#ffffff" fill-opacity="0.75"/>)"
                          "\n",
                          place.x - 0.5 * wide, place.y - 6.5, wide);
    labels += svg_text(place.x, place.y + 3.5, label,
                       {.size = label_size, .anchor = "middle", .colour = soft_ink});
  }
  circles += fmt::format(R"(<circle cx="{:.1f}" cy="{:.1f}" r="{:.1f}" fill="none" stroke="{}"/>)"
                         "\n",
                         middle_x, middle_y, outer_radius, soft_ink);
  return {circles, labels};
}

/// The board, and on its right the cooler's fins; turned counter-clockwise.
std::string machine_sketch(const Place& place, double angle_deg) {
  std::string body = svg_line(-6.0, -12.0, -6.0, 12.0, ink, 2.4);
  body += svg_line(-3.5, -7.0, -3.5, 7.0, soft_ink, 2.4);
  for (const double y : {-6.0, 0.0, 6.0}) {
    body += svg_line(-3.0, y, 7.0, y, soft_ink, 2.0);
  }
  return fmt::format(R"x(<g transform="translate({:.1f} {:.1f}) rotate({:g})">)x"
                     "\n{}</g>\n",
                     place.x, place.y, 0.0 - angle_deg, body);
}

std::string named_angles(const PolarChart& chart) {
  std::string text;
  for (const PolarName& name : chart.names) {
    const Place tick = place_at(name.angle_deg, outer_radius + 6.0);
    const Place ring = place_at(name.angle_deg, outer_radius);
    text += svg_line(ring.x, ring.y, tick.x, tick.y, ink, 2.0);
    const Place sketch = place_at(name.angle_deg, outer_radius + 26.0);
    text += machine_sketch(sketch, name.angle_deg);
    const double turned = std::remainder(name.angle_deg, 360.0);
    const std::string angle = fmt::format("{:g}°", turned < -1e-9 ? turned + 360.0 : turned + 0.0);
    if (std::abs(std::abs(turned) - 90.0) < 45.0) { // beside the ring there is room for little
      const double side = turned > 0.0 ? -1.0 : 1.0;
      const double x = middle_x + side * (outer_radius + 10.0);
      const TextStyle outwards{.anchor = side < 0.0 ? "end" : "start", .is_bold = true};
      text += svg_text(x, sketch.y + 30.0, name.name, outwards);
      text += svg_text(x, sketch.y + 45.0, angle, outwards);
    } else {
      const double away = std::abs(turned) < 45.0 ? -22.0 : 32.0;
      text += svg_text(sketch.x, sketch.y + away, name.name + " " + angle,
                       {.anchor = "middle", .is_bold = true});
    }
  }
  return text;
}

/// The stretches of a series without a gap; the first joined on behind the last of a closed one.
std::vector<std::vector<PolarPoint>> stretches(const PolarSeries& series) {
  std::vector<std::vector<PolarPoint>> all(1);
  for (const PolarPoint& point : series.points) {
    if (std::isfinite(point.value)) {
      all.back().push_back(point);
    } else if (!all.back().empty()) {
      all.emplace_back();
    }
  }
  if (all.back().empty()) {
    all.pop_back();
  }
  const bool joins = series.is_closed && !all.empty() &&
                     std::isfinite(series.points.front().value) &&
                     std::isfinite(series.points.back().value);
  if (joins && all.size() > 1) {
    all.back().insert(all.back().end(), all.front().begin(), all.front().end());
    all.erase(all.begin());
  } else if (joins) {
    all.front().push_back(all.front().front());
  }
  return all;
}

std::string path_through(const std::vector<PolarPoint>& points, double scale,
                         double PolarPoint::*radius) {
  std::string path;
  for (const PolarPoint& point : points) {
    const double value = std::isfinite(point.*radius) ? point.*radius : point.value;
    const double inside = std::clamp(scale * value, 0.0, outer_radius);
    const Place place = place_at(point.angle_deg, inside);
    path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", place.x, place.y);
  }
  return path;
}

std::string curve(const PolarSeries& series, double scale) {
  const char* colour = series_colour(series.colour);
  std::string text;
  for (const std::vector<PolarPoint>& points : stretches(series)) {
    std::vector<PolarPoint> back = points;
    std::ranges::reverse(back);
    std::string inner = path_through(back, scale, &PolarPoint::low);
    inner.front() = 'L';
    text += fmt::format(R"(<path d="{}{}Z" fill="{}" fill-opacity="0.14"/>)"
                        "\n"
                        R"(<path d="{}" fill="none" stroke="{}" stroke-width="1.8"{}/>)"
                        "\n",
                        path_through(points, scale, &PolarPoint::high), inner, colour,
                        path_through(points, scale, &PolarPoint::value), colour,
                        series.is_dashed ? R"( stroke-dasharray="6 3")" : "");
  }
  for (const PolarPoint& point : series.points) {
    if (!point.is_marked || !std::isfinite(point.value)) {
      continue;
    }
    const Place place = place_at(point.angle_deg, scale * point.value);
    text += fmt::format(R"(<circle cx="{:.1f}" cy="{:.1f}" r="2.6" fill="{}" stroke="{}"/>)"
                        "\n",
                        place.x, place.y, point.is_doubtful ? "#ffffff" : colour, colour);
  }
  return text;
}

/// Below the chart; `height`: of the whole page then.
std::string legend(const PolarChart& chart, double& height) {
  std::string text;
  double y = legend_top;
  for (const PolarSeries& series : chart.series) {
    if (series.label.empty()) {
      continue;
    }
    text += svg_line(40.0, y - 4.0, 70.0, y - 4.0, series_colour(series.colour), 2.0,
                     series.is_dashed ? R"( stroke-dasharray="6 3")" : "");
    text += svg_text(78.0, y, series.label);
    y += row_height;
  }
  for (const std::string& note : chart.notes) {
    text += svg_text(40.0, y, note, {.colour = soft_ink});
    y += row_height;
  }
  height = y + 4.0;
  return text;
}

} // namespace

Drawing polar_drawing(const PolarChart& chart) {
  const double highest = highest_value(chart);
  const double scale = outer_radius / (1.04 * highest);
  const auto [circles, labels] = rings(scale, highest, chart.unit);
  std::string body = rays(chart) + circles + named_angles(chart);
  for (const PolarSeries& series : chart.series) {
    body += curve(series, scale);
  }
  double height = 0.0;
  body += labels;
  body += legend(chart, height);
  return {page_width, height, chart.title, body};
}

} // namespace tiltfin
