#include "post/reports/tilt_solved.hpp"

#include "solver/condition.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

SolvedLimit limit_of(const std::vector<Outcome>& flows, const ReportContext& context) {
  const std::vector<TrendRow> trends = make_trends(flows, context);
  return trends.empty() ? SolvedLimit{} : trends.front().limit;
}

} // namespace

const Outcome& TiltPoint::first() const {
  return !is_solved(rising.status) && is_solved(falling.status) ? falling : rising;
}

const SolvedLimit& TiltLimit::lower() const {
  return falling.power_w.value < rising.power_w.value ? falling : rising;
}

const char* name(SweepWay way) {
  switch (way) {
  case SweepWay::rising:
    return "rising";
  case SweepWay::falling:
    return "falling";
  case SweepWay::both:
    break;
  }
  return "both";
}

std::string name_of_tilt(double tilt_deg) {
  const Orientation tilted = tilted_orientation(tilt_deg);
  for (const Orientation& named : named_orientations()) {
    double apart = 0.0;
    for (std::size_t k = 0; k < 3; ++k) {
      apart = std::max(apart, std::abs(named.down[k] - tilted.down[k]));
    }
    if (apart < 1e-9) { // unit vectors: far below any angle one would write
      return named.name;
    }
  }
  return "";
}

void add_limits(TiltReport& report) {
  report.limits.clear();
  for (const TiltPoint& place : report.points) {
    if (limit_at(report, place.panel, place.tilt_deg) != nullptr) {
      continue;
    }
    std::vector<Outcome> rising;
    std::vector<Outcome> falling;
    bool are_two = false;
    for (const TiltPoint& point : report.points) {
      if (point.panel == place.panel && point.tilt_deg == place.tilt_deg) {
        rising.push_back(point.first());
        falling.push_back(point.are_two ? point.falling : point.first());
        are_two = are_two || point.are_two;
      }
    }
    const SolvedLimit one = limit_of(rising, report.context);
    report.limits.push_back(
        {place.panel, place.tilt_deg, one, are_two ? limit_of(falling, report.context) : one});
  }
}

std::vector<std::string> panels_of(const TiltReport& report) {
  std::vector<std::string> panels;
  for (const TiltPoint& point : report.points) {
    if (panels.empty() || panels.back() != point.panel) {
      panels.push_back(point.panel);
    }
  }
  return panels;
}

bool has_outside(const TiltReport& report) {
  return std::ranges::any_of(report.points,
                             [](const TiltPoint& point) {
                               return is_outside(point.first()) ||
                                      (point.are_two && is_outside(point.falling));
                             }) ||
         std::ranges::any_of(report.limits, [](const TiltLimit& limit) {
           return limit.rising.standing == Standing::outside ||
                  limit.falling.standing == Standing::outside;
         });
}

const TiltLimit* limit_at(const TiltReport& report, const std::string& panel, double tilt_deg) {
  const auto place = std::ranges::find_if(report.limits, [&](const TiltLimit& limit) {
    return limit.panel == panel && limit.tilt_deg == tilt_deg;
  });
  return place == report.limits.end() ? nullptr : &*place;
}

} // namespace tiltfin
