#include "post/fits/joint_limit.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace tiltfin {
namespace {

/// Heat against rise, rises ascending and different.
class HeatCurve {
public:
  HeatCurve(std::span<const JointPoint> points, double JointPoint::*heat) {
    for (const JointPoint& point : points) {
      if (point.rise_k > 0.0 && point.*heat > 0.0) {
        points_.emplace_back(std::log(point.rise_k), std::log(point.*heat));
      }
    }
    std::ranges::sort(points_);
    const auto is_same = [](const auto& a, const auto& b) { return a.first == b.first; };
    points_.erase(std::unique(points_.begin(), points_.end(), is_same), points_.end());
  }

  [[nodiscard]] bool is_empty() const { return points_.empty(); }

  /// A single point lies on a straight line through zero.
  [[nodiscard]] double at(double rise_k) const {
    const double x = std::log(rise_k);
    if (points_.size() == 1) {
      return std::exp(points_.front().second + x - points_.front().first);
    }
    auto high = std::ranges::lower_bound(points_, x, {}, &Point::first);
    high = std::clamp(high, points_.begin() + 1, points_.end() - 1);
    const auto low = high - 1;
    const double slope = (high->second - low->second) / (high->first - low->first);
    return std::exp(low->second + slope * (x - low->first));
  }

  [[nodiscard]] bool holds(double rise_k) const {
    const double x = std::log(rise_k);
    return !points_.empty() && points_.front().first - near_by <= x &&
           x <= points_.back().first + near_by;
  }

private:
  static constexpr double near_by = 0.1; // of a rise: the slope there holds as far
  using Point = std::pair<double, double>;
  std::vector<Point> points_;
};

/// (a^p + b^p)^(1/p), and b's part of it.
struct JointAir {
  double heat_w = 0.0;
  double second_share = 0.0;
};

JointAir joint_air(double first, double second, const JointRule& rule) {
  const double larger = std::max(first, second);
  const double a = std::pow(first / larger, rule.exponent);
  const double b = std::pow(second / larger, rule.exponent);
  return {larger * std::pow(a + b, 1.0 / rule.exponent), b / (a + b)};
}

} // namespace

JointLimit joint_limit(std::span<const JointPoint> first, std::span<const JointPoint> second,
                       const JointRule& rule, const JointErrors& errors, const CoreLimit& core) {
  const HeatCurve first_air(first, &JointPoint::air_w);
  const HeatCurve first_other(first, &JointPoint::other_w);
  const HeatCurve second_air(second, &JointPoint::air_w);
  JointLimit limit;
  if (first_air.is_empty() || second_air.is_empty() || !(core.rise_k() > 0.0)) {
    return limit;
  }
  const auto other_at = [&](double rise) {
    return first_other.is_empty() ? 0.0 : first_other.at(rise);
  };
  const auto air_at = [&](double rise) {
    return joint_air(first_air.at(rise), second_air.at(rise), rule);
  };
  double low = 0.0;
  double high = core.rise_k();
  for (int k = 0; k < 200 && high - low > 1e-12 * core.rise_k(); ++k) {
    const double rise = 0.5 * (low + high);
    const double power = air_at(rise).heat_w + other_at(rise);
    (rise + core.core_to_base_k_per_w * power > core.rise_k() ? high : low) = rise;
  }
  limit.rise_k = 0.5 * (low + high);
  const JointAir air = air_at(limit.rise_k);
  const double other = other_at(limit.rise_k);
  const double of_second = air.second_share * air.heat_w;
  limit.power_w.value = air.heat_w + other;
  limit.power_w.error = errors.first * (other + air.heat_w - of_second);
  if (of_second > 0.0) { // an error that is not known does not count where its plane does not
    limit.power_w.error += errors.second * of_second;
  }
  limit.second_share = air.second_share;
  limit.is_extrapolated = !first_air.holds(limit.rise_k) || !second_air.holds(limit.rise_k);
  return limit;
}

} // namespace tiltfin
