#include "post/trend.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// Student's t with 0.975 below it. Source: NIST/SEMATECH e-Handbook of Statistical Methods, table
/// 1.3.6.7.2, to 30 degrees of freedom; above, Abramowitz and Stegun 1964, eq. 26.7.5.
double student_quantile(int degrees) {
  constexpr std::array<double, 30> table{12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306,
                                         2.262,  2.228, 2.201, 2.179, 2.160, 2.145, 2.131, 2.120,
                                         2.110,  2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064,
                                         2.060,  2.056, 2.052, 2.048, 2.045, 2.042};
  if (degrees <= 30) {
    return table[degrees - 1];
  }
  constexpr double z = 1.959964;
  constexpr double z3 = z * z * z;
  constexpr double z5 = z3 * z * z;
  return z + (z3 + z) / (4.0 * degrees) +
         (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * degrees * degrees);
}

bool takes_part(const TrendPoint& point) {
  return std::isfinite(point.power_w) && std::isfinite(point.rise_k) && point.power_w > 0.0 &&
         point.rise_k > 0.0;
}

/// Usable points by ascending power.
std::vector<TrendPoint> usable(std::span<const TrendPoint> points) {
  std::vector<TrendPoint> kept;
  std::copy_if(points.begin(), points.end(), std::back_inserter(kept), takes_part);
  std::stable_sort(kept.begin(), kept.end(),
                   [](const TrendPoint& a, const TrendPoint& b) { return a.power_w < b.power_w; });
  return kept;
}

/// A stretch of rise = factor * power^exponent in series with a resistance.
struct Branch {
  double factor = 0.0;     ///< [K / W^exponent]
  double exponent = 0.0;   ///< [-]
  double resistance = 0.0; ///< [K/W]

  [[nodiscard]] double core_rise(double power) const {
    return factor * std::pow(power, exponent) + resistance * power;
  }
};

/// Power between `low` and `high`, where the core rise is below and above `limit`, by bisection.
double bisect(const Branch& branch, double limit, double low, double high) {
  while (high - low > 1e-13 * high) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) {
      break;
    }
    (branch.core_rise(middle) < limit ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

/// Power where a branch that rises from zero reaches `limit`; NaN when it does not rise.
double reach(const Branch& branch, double limit) {
  if (branch.exponent <= 0.0) {
    return nan;
  }
  double low = 1.0;
  while (branch.core_rise(low) > limit) {
    low *= 0.5;
  }
  double high = std::max(1.0, 2.0 * low);
  while (branch.core_rise(high) < limit) {
    high *= 2.0;
  }
  return std::isfinite(high) && low > 0.0 ? bisect(branch, limit, low, high) : nan;
}

Branch through(const TrendPoint& a, const TrendPoint& b, double resistance) {
  Branch branch;
  branch.exponent = std::log(b.rise_k / a.rise_k) / std::log(b.power_w / a.power_w);
  branch.factor = a.rise_k / std::pow(a.power_w, branch.exponent);
  branch.resistance = resistance;
  return branch;
}

} // namespace

Trend fit_power_law(std::span<const TrendPoint> points) {
  const std::vector<TrendPoint> kept = usable(points);
  const int n = static_cast<int>(kept.size());
  Trend trend;
  trend.n_points = n;
  if (n == 0) {
    return trend;
  }
  double mean_x = 0.0;
  double mean_y = 0.0;
  for (const TrendPoint& point : kept) {
    mean_x += std::log(point.power_w) / n;
    mean_y += std::log(point.rise_k) / n;
  }
  double sxx = 0.0;
  double sxy = 0.0;
  for (const TrendPoint& point : kept) {
    const double dx = std::log(point.power_w) - mean_x;
    sxx += dx * dx;
    sxy += dx * (std::log(point.rise_k) - mean_y);
  }
  const bool one_power = kept.front().power_w == kept.back().power_w;
  trend.exponent = one_power ? 1.0 : sxy / sxx;
  const double intercept = mean_y - trend.exponent * mean_x;
  trend.factor = std::exp(intercept);
  double squares = 0.0;
  for (const TrendPoint& point : kept) {
    const double fitted = intercept + trend.exponent * std::log(point.power_w);
    const double residual = std::log(point.rise_k) - fitted;
    squares += residual * residual;
    trend.largest_misfit = std::max(trend.largest_misfit, std::abs(std::expm1(-residual)));
  }
  double half_width = 0.0;
  if (n > 2 && !one_power) {
    half_width = student_quantile(n - 2) * std::sqrt(squares / (n - 2) / sxx);
  }
  trend.exponent_low = trend.exponent - half_width;
  trend.exponent_high = trend.exponent + half_width;
  return trend;
}

PowerLimit power_limit(const Trend& trend, std::span<const TrendPoint> points, double limit_rise_k,
                       double die_to_base_k_per_w) {
  if (trend.n_points == 0) {
    return {nan, false};
  }
  if (limit_rise_k <= 0.0) {
    return {0.0, true}; // the room alone is at the limit
  }
  const std::vector<TrendPoint> kept = usable(points);
  const auto core_rise = [&](const TrendPoint& point) {
    return point.rise_k + die_to_base_k_per_w * point.power_w;
  };
  for (std::size_t k = 0; k < kept.size(); ++k) {
    if (core_rise(kept[k]) == limit_rise_k) {
      return {kept[k].power_w, false};
    }
    if (k > 0 && kept[k].power_w > kept[k - 1].power_w && core_rise(kept[k - 1]) < limit_rise_k &&
        core_rise(kept[k]) > limit_rise_k) {
      const Branch branch = through(kept[k - 1], kept[k], die_to_base_k_per_w);
      return {bisect(branch, limit_rise_k, kept[k - 1].power_w, kept[k].power_w), false};
    }
  }
  return {reach({trend.factor, trend.exponent, die_to_base_k_per_w}, limit_rise_k), true};
}

} // namespace tiltfin
