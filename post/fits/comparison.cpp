#include "post/fits/comparison.hpp"

#include "post/fits/estimate.hpp"
#include "post/fits/trend.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

/// Measured points of one panel state and orientation.
using Group = std::vector<const MeasuredPoint*>;

Trend trend_of(const Group& points) {
  std::vector<TrendPoint> list;
  for (const MeasuredPoint* point : points) {
    list.push_back({point->power_w, point->rise_k.value});
  }
  return fit_power_law(list);
}

double largest_relative_error(const Group& points) {
  double largest = 0.0;
  for (const MeasuredPoint* point : points) {
    largest = std::max(largest, point->rise_k.error / point->rise_k.value);
  }
  return largest;
}

/// Nothing when the two cannot be compared.
std::optional<OrderCheck> check_order(const Computed& computed, const Group& a, const Group& b,
                                      const Physical& physical, bool is_at_base) {
  if (a.front()->panel != b.front()->panel || a.size() < 2 || b.size() < 2) {
    return std::nullopt;
  }
  double logarithms = 0.0;
  for (const Group& group : {a, b}) {
    for (const MeasuredPoint* point : group) {
      logarithms += std::log(point->power_w) / static_cast<double>(a.size() + b.size());
    }
  }
  OrderCheck check;
  check.power_w = std::exp(logarithms);
  check.panel = a.front()->panel;
  const auto at_that_power = [&](const Group& group) {
    MeasuredPoint point = *group.front();
    point.power_w = check.power_w;
    point.rise_k.value = fitted_rise(trend_of(group), check.power_w);
    return point;
  };
  MeasuredPoint at_a = at_that_power(a);
  MeasuredPoint at_b = at_that_power(b);
  if (at_a.rise_k.value > at_b.rise_k.value) {
    std::swap(at_a, at_b);
  }
  check.cooler = at_a.orientation;
  check.hotter = at_b.orientation;
  check.measured_ratio = at_b.rise_k.value / at_a.rise_k.value;
  check.computed_ratio = predict(computed, at_b, physical, is_at_base).rise_k.value /
                         predict(computed, at_a, physical, is_at_base).rise_k.value;
  check.is_clear =
      std::log(check.measured_ratio) > largest_relative_error(a) + largest_relative_error(b);
  return check;
}

} // namespace

bool is_computed(const Computed& computed, const MeasuredPoint& point) {
  const double rise = base_rise_at(computed, placing_of(point), point.power_w).rise_k.value;
  return std::isfinite(rise) && rise > 0.0 && point.rise_k.value > 0.0;
}

BaseRise base_rise_at(const Computed& computed, const Placing& placing, double power_w) {
  std::vector<ComputedPoint> points;
  std::ranges::copy_if(computed.points, std::back_inserter(points),
                       [&](const ComputedPoint& point) { return placing_of(point) == placing; });
  if (points.empty() || !(power_w > 0.0)) {
    return {};
  }
  std::ranges::sort(points, {}, &ComputedPoint::power_w);
  const auto above = std::ranges::find_if(
      points, [&](const ComputedPoint& point) { return point.power_w >= power_w; });
  BaseRise result;
  constexpr double near = 0.02; // a meter's reading of the same power
  result.is_outside = power_w < points.front().power_w * (1.0 - near) ||
                      power_w > points.back().power_w * (1.0 + near);
  if (points.size() == 1) {
    const double ratio = power_w / points.front().power_w;
    const Estimate& rise = points.front().base_rise_k;
    return {{ratio * rise.value, ratio * rise.error}, std::abs(ratio - 1.0) > near};
  }
  const auto upper = std::clamp<std::ptrdiff_t>(above - points.begin(), 1,
                                                static_cast<std::ptrdiff_t>(points.size()) - 1);
  const ComputedPoint& a = points[static_cast<std::size_t>(upper - 1)];
  const ComputedPoint& b = points[static_cast<std::size_t>(upper)];
  const double part = std::log(power_w / a.power_w) / std::log(b.power_w / a.power_w);
  const Estimate& rise_a = a.base_rise_k;
  const Estimate& rise_b = b.base_rise_k;
  Estimate& rise = result.rise_k;
  rise.value = rise_a.value * std::pow(rise_b.value / rise_a.value, part);
  const double error_a = rise_a.error / rise_a.value;
  const double error_b = rise_b.error / rise_b.value;
  rise.error = rise.value * (error_a + std::clamp(part, 0.0, 1.0) * (error_b - error_a));
  return result;
}

BaseRise predict(const Computed& computed, const MeasuredPoint& point, const Physical& physical,
                 bool is_at_base) {
  const double heat = physical.heat_share * point.power_w;
  BaseRise result = base_rise_at(computed, placing_of(point), heat / physical.depth_ratio);
  if (!is_at_base) {
    result.rise_k.value += physical.core_to_base_k_per_w * heat;
  }
  return result;
}

Comparison compare(const Computed& computed, std::span<const MeasuredPoint> measured,
                   const Physical& physical, bool is_at_base) {
  Comparison result;
  std::vector<MeasuredPoint> usable;
  for (const MeasuredPoint& point : measured) {
    if (!is_computed(computed, point)) {
      result.unsolved.push_back(point);
      continue;
    }
    usable.push_back(point);
    const BaseRise rise = predict(computed, point, physical, is_at_base);
    result.points.push_back({point, rise, rise.rise_k.value / point.rise_k.value - 1.0});
  }
  const auto n = static_cast<double>(usable.size());
  for (const ComparedPoint& point : result.points) {
    result.bias += std::log1p(point.deviation) / n;
  }
  double squares = 0.0;
  for (const ComparedPoint& point : result.points) {
    const double away = std::log1p(point.deviation) - result.bias;
    squares += away * away;
  }
  result.spread = usable.size() > 1 ? std::sqrt(squares / (n - 1.0)) : nan;
  const std::vector<Group> groups = groups_by_placing(usable);
  for (std::size_t i = 0; i < groups.size(); ++i) {
    for (std::size_t j = i + 1; j < groups.size(); ++j) {
      if (const auto check = check_order(computed, groups[i], groups[j], physical, is_at_base)) {
        result.orders.push_back(*check);
      }
    }
  }
  return result;
}

} // namespace tiltfin
