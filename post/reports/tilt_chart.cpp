#include "post/reports/table_parts.hpp"
#include "post/reports/tilt_facts.hpp"
#include "post/reports/tilt_report.hpp"
#include "post/views/polar_chart.hpp"
#include "post/views/side_by_side.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

PolarPoint polar_point(double angle_deg, const Estimate& value, bool is_doubtful) {
  return {angle_deg, value.value, value.value - value.bar(), value.value + value.bar(),
          is_doubtful};
}

/// What a curve through angles is made of: at each, one value or two.
struct RoundPoint {
  double angle_deg = 0.0;
  Estimate rising;
  Estimate falling;
  bool are_two = false;
  bool is_doubtful = false;
};

/// The flow that comes with rising angle, or the only one.
PolarSeries main_curve(const std::vector<RoundPoint>& points, bool is_closed) {
  PolarSeries series;
  series.is_closed = is_closed;
  for (const RoundPoint& point : points) {
    series.points.push_back(polar_point(point.angle_deg, point.rising, point.is_doubtful));
  }
  return series;
}

/// The other flow where there are two, joined to the only one on either side.
PolarSeries other_curve(const std::vector<RoundPoint>& points, bool is_closed) {
  PolarSeries series;
  series.is_dashed = true;
  series.is_closed = is_closed;
  const std::size_t n = points.size();
  for (std::size_t k = 0; k < n; ++k) {
    const bool after_two = k > 0 ? points[k - 1].are_two : is_closed && points[n - 1].are_two;
    const bool before_two = k + 1 < n ? points[k + 1].are_two : is_closed && points[0].are_two;
    const RoundPoint& point = points[k];
    PolarPoint shown = polar_point(point.angle_deg, point.are_two ? point.falling : point.rising,
                                   point.is_doubtful);
    if (!point.are_two) {
      shown.is_marked = false;
      shown.value = after_two || before_two ? shown.value : nan;
      shown.low = shown.high = shown.value; // no band twice
    }
    series.points.push_back(shown);
  }
  return series;
}

void add_series(PolarChart& chart, const std::vector<RoundPoint>& points, const std::string& label,
                int colour, bool is_closed) {
  PolarSeries first = main_curve(points, is_closed);
  first.label = label;
  first.colour = colour;
  chart.series.push_back(first);
  if (std::ranges::any_of(points, &RoundPoint::are_two)) {
    PolarSeries second = other_curve(points, is_closed);
    second.label = label + ", second flow (falling angle)";
    second.colour = colour;
    chart.series.push_back(second);
  }
}

std::vector<PolarName> names_on(const TiltReport& report) {
  std::vector<PolarName> names;
  for (const double angle : {0.0, 90.0, 180.0, 270.0}) {
    const bool is_there = std::ranges::any_of(report.points, [&](const TiltPoint& point) {
      return std::abs(std::remainder(point.tilt_deg - angle, 360.0)) < 45.0;
    });
    if (is_there) {
      names.push_back({angle, name_of_tilt(angle)});
    }
  }
  return names;
}

PolarChart limit_chart(const TiltReport& report, const std::string& panel) {
  PolarChart chart;
  chart.title = "Power limit";
  chart.unit = "W";
  chart.names = names_on(report);
  std::vector<RoundPoint> points;
  bool is_starred = false;
  for (const TiltLimit& limit : report.limits) {
    if (limit.panel == panel) {
      const bool are_two = std::isfinite(limit.falling.power_w.value) &&
                           !is_too_close(limit.rising.power_w, limit.falling.power_w);
      points.push_back({limit.tilt_deg, limit.rising.power_w, limit.falling.power_w, are_two,
                        limit.rising.is_starred()});
      is_starred = is_starred || limit.rising.is_starred();
    }
  }
  add_series(chart, points, "power limit", 0, report.is_closed);
  const BestAndWorst found = best_and_worst(report, panel);
  if (found.best != nullptr) {
    const auto note = [](const char* what, const TiltLimit& limit) {
      return fmt::format("{} {:g}°: {} W", what, limit.tilt_deg, with_error(limit.lower().power_w));
    };
    chart.notes.push_back(note("best", *found.best) + "; " + note("worst", *found.worst));
  }
  if (is_starred) {
    chart.notes.emplace_back("hollow: extrapolated, the limit lies outside the solved powers");
  }
  return chart;
}

PolarChart rise_chart(const TiltReport& report, const std::string& panel) {
  PolarChart chart;
  chart.title = "Mean rise of the base";
  chart.unit = "K";
  chart.names = names_on(report);
  bool is_doubtful = false;
  int colour = 0;
  for (const TiltCurve& curve : curves_of(report)) {
    if (curve.front()->panel != panel) {
      continue;
    }
    std::vector<RoundPoint> points;
    for (const TiltPoint* point : curve) {
      const Outcome& first = point->first();
      const bool doubtful =
          first.status != SolveStatus::converged || first.standing != Standing::sound;
      points.push_back({point->tilt_deg,
                        is_solved(first.status) ? first.base_rise_mean_k : Estimate{.value = nan},
                        point->falling.base_rise_mean_k, has_two_flows(*point), doubtful});
      is_doubtful = is_doubtful || doubtful;
    }
    add_series(chart, points, fmt::format("{:g} W", curve.front()->power_w), colour++,
               report.is_closed);
  }
  if (is_doubtful) {
    chart.notes.emplace_back("hollow: mean over time, no steady flow found");
  }
  return chart;
}

} // namespace

std::string tilt_chart(const TiltReport& report, const std::string& panel) {
  const std::vector<LabelledDrawing> drawings{
      {"Power limit", polar_drawing(limit_chart(report, panel))},
      {"Mean rise of the base above the room", polar_drawing(rise_chart(report, panel))}};
  return svg_file(side_by_side(
      fmt::format("{}: {}, turned through all angles", report.context.title, panel), drawings));
}

} // namespace tiltfin
