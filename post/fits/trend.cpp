#include "post/fits/trend.hpp"

#include "post/fits/estimate.hpp"
#include "post/fits/straight_line.hpp"
#include "post/fits/student.hpp"

#include <boost/math/tools/roots.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

namespace tiltfin {
namespace {

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

/// A stretch of rise = offset + factor * power^exponent in series with a resistance.
struct Branch {
  double factor = 0.0;     ///< [K / W^exponent]
  double exponent = 0.0;   ///< [-]
  double resistance = 0.0; ///< [K/W]
  double offset = 0.0;     ///< [K]

  [[nodiscard]] double core_rise(double power) const {
    return offset + factor * std::pow(power, exponent) + resistance * power;
  }
};

/// Power between `low` and `high`, where `rise` is below and above `limit` or the other way round.
double crossing(const std::function<double(double)>& rise, double limit, double low, double high) {
  const auto over = [&](double power) { return rise(power) - limit; };
  const auto is_narrow = [](double a, double b) { return b - a <= 1e-13 * b; };
  boost::uintmax_t steps = std::numeric_limits<int>::max(); // ends as soon as nothing is between
  const auto [below, above] = boost::math::tools::bisect(over, low, high, is_narrow, steps);
  return 0.5 * (below + above);
}

/// Power where a branch that rises from below `limit` reaches it; NaN when it does not.
double reach(const Branch& branch, double limit) {
  if (branch.exponent <= 0.0 || branch.factor + branch.resistance <= 0.0 ||
      branch.offset >= limit) {
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
  const auto rise = [&](double power) { return branch.core_rise(power); };
  return std::isfinite(high) && low > 0.0 ? crossing(rise, limit, low, high) : nan;
}

Branch branch_of(const Trend& trend, double resistance) {
  return {trend.factor, trend.exponent, resistance, trend.offset_k};
}

Branch through(const TrendPoint& a, const TrendPoint& b, double resistance) {
  Branch branch;
  branch.exponent = std::log(b.rise_k / a.rise_k) / std::log(b.power_w / a.power_w);
  branch.factor = a.rise_k / std::pow(a.power_w, branch.exponent);
  branch.resistance = resistance;
  return branch;
}

/// The line of a trend with its band.
struct Line {
  double mean_y = 0.0;
  double slope = 0.0;
  bool one_x = false;
  TrendBand band;
};

/// Points as columns.
struct Columns {
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> error; ///< standard error of y; 0: not known

  void add(double x_value, double y_value, double y_error) {
    x.push_back(x_value);
    y.push_back(y_value);
    error.push_back(y_error);
  }
};

/// `slope_of_one_x` stands for the slope where all x are equal.
Line fit_with_band(const Columns& points, double slope_of_one_x) {
  const auto n = static_cast<int>(points.x.size());
  const bool errors_known = std::ranges::all_of(points.error, [](double e) { return e > 0.0; });
  std::vector<double> weights;
  for (const double error : points.error) {
    weights.push_back(errors_known ? 1.0 / (error * error) : 1.0);
  }
  const StraightLine fit = fit_straight_line(points.x, points.y, weights);
  Line line;
  line.mean_y = fit.mean_y;
  line.one_x = std::ranges::all_of(points.x, [&](double x) { return x == points.x.front(); });
  line.slope = line.one_x ? slope_of_one_x : fit.slope;
  line.band.weight = fit.weight;
  line.band.mean_x = fit.mean_x;
  if (n < 3 || line.one_x) {
    return line;
  }
  line.band.sxx = fit.sxx;
  line.band.multiplier = student_quantile(n - 2) * std::sqrt(fit.sum_of_squares / (n - 2));
  if (errors_known) { // weights are then inverse variances, and 1.96 goes with known ones
    line.band.multiplier = std::max(line.band.multiplier, 1.959964);
  }
  return line;
}

double half_width(const TrendBand& band, double x) {
  const double away = x - band.mean_x;
  return band.multiplier * std::sqrt(1.0 / band.weight + away * away / band.sxx);
}

void set_misfit(Trend& trend, std::span<const TrendPoint> points) {
  for (const TrendPoint& point : points) {
    trend.largest_misfit = std::max(
        trend.largest_misfit, std::abs(fitted_rise(trend, point.power_w) / point.rise_k - 1.0));
  }
}

/// Where an edge of the band (side -1 below, +1 above) with the resistance on top first reaches
/// `limit`, going from `start` towards higher powers, or towards lower ones when it is above there.
double edge_meets(const Trend& trend, double side, double limit, double resistance, double start) {
  const auto rise = [&](double power) {
    const Interval interval = fitted_rise_interval(trend, power);
    return (side < 0.0 ? interval.low : interval.high) + resistance * power;
  };
  constexpr double step = 1.05; // finer than any bend of the band
  constexpr int n_steps = 400;  // a factor of 3e8
  double power = start;
  const bool goes_up = rise(start) < limit;
  for (int k = 0; k < n_steps; ++k) {
    const double next = goes_up ? power * step : power / step;
    if ((rise(next) < limit) != goes_up) {
      return crossing(rise, limit, std::min(power, next), std::max(power, next));
    }
    power = next;
  }
  return goes_up ? std::numeric_limits<double>::infinity() : 0.0;
}

} // namespace

Trend fit_power_law(std::span<const TrendPoint> points) {
  const std::vector<TrendPoint> kept = usable(points);
  Trend trend;
  trend.n_points = static_cast<int>(kept.size());
  if (kept.empty()) {
    return trend;
  }
  Columns logarithms;
  for (const TrendPoint& point : kept) {
    logarithms.add(std::log(point.power_w), std::log(point.rise_k),
                   point.rise_error_k / point.rise_k);
  }
  const Line line = fit_with_band(logarithms, 1.0);
  trend.exponent = line.slope;
  trend.factor = std::exp(line.mean_y - line.slope * line.band.mean_x);
  trend.band = line.band;
  const double half = line.band.multiplier / std::sqrt(line.band.sxx);
  trend.exponent_low = trend.exponent - half;
  trend.exponent_high = trend.exponent + half;
  set_misfit(trend, kept);
  return trend;
}

Trend fit_line(std::span<const TrendPoint> points) {
  const std::vector<TrendPoint> kept = usable(points);
  Trend trend;
  trend.is_line = true;
  trend.n_points = static_cast<int>(kept.size());
  if (kept.empty()) {
    return trend;
  }
  Columns plain;
  double resistance = 0.0; // mean over the points, for a line through zero
  for (const TrendPoint& point : kept) {
    plain.add(point.power_w, point.rise_k, point.rise_error_k);
    resistance += point.rise_k / point.power_w / trend.n_points;
  }
  const Line line = fit_with_band(plain, resistance);
  trend.exponent = trend.exponent_low = trend.exponent_high = 1.0;
  trend.factor = line.slope;
  trend.offset_k = line.one_x ? 0.0 : line.mean_y - line.slope * line.band.mean_x;
  trend.band = line.band;
  set_misfit(trend, kept);
  return trend;
}

double fitted_rise(const Trend& trend, double power_w) {
  return trend.offset_k + trend.factor * std::pow(power_w, trend.exponent);
}

Interval fitted_rise_interval(const Trend& trend, double power_w) {
  const double rise = fitted_rise(trend, power_w);
  if (trend.is_line) {
    const double half = half_width(trend.band, power_w);
    return {rise - half, rise + half};
  }
  const double ratio = std::exp(half_width(trend.band, std::log(power_w)));
  return {rise / ratio, rise * ratio};
}

double fitted_power_limit(const Trend& trend, double limit_rise_k, double die_to_base_k_per_w) {
  if (trend.n_points == 0) {
    return nan;
  }
  return limit_rise_k <= 0.0 ? 0.0 : reach(branch_of(trend, die_to_base_k_per_w), limit_rise_k);
}

Interval fitted_power_limit_interval(const Trend& trend, double limit_rise_k,
                                     double die_to_base_k_per_w) {
  const double power = fitted_power_limit(trend, limit_rise_k, die_to_base_k_per_w);
  if (!(trend.band.multiplier > 0.0) || !(power > 0.0)) {
    return {nan, nan};
  }
  return {edge_meets(trend, 1.0, limit_rise_k, die_to_base_k_per_w, power),
          edge_meets(trend, -1.0, limit_rise_k, die_to_base_k_per_w, power)};
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
      const auto rise = [&](double power) { return branch.core_rise(power); };
      return {crossing(rise, limit_rise_k, kept[k - 1].power_w, kept[k].power_w), false};
    }
  }
  return {reach(branch_of(trend, die_to_base_k_per_w), limit_rise_k), true};
}

} // namespace tiltfin
