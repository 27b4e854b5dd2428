#pragma once
// Rise against power: the fit, its interval, and the power limit.

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct TrendPoint {
  double power_w = 0.0;
  double rise_k = 0.0; ///< mean base rise above the room
};

/// rise = factor * power^exponent, least squares in logarithms.
struct Trend {
  int n_points = 0;
  double factor = 0.0;       ///< [K / W^exponent]
  double exponent = 0.0;     ///< [-]
  double exponent_low = 0.0; ///< 95 % interval (Student); equals exponent for fewer than 3 points
  double exponent_high = 0.0;
  double largest_misfit = 0.0; ///< largest |fit / point - 1| [-]
};

/// One point gives exponent 1 (a straight line through zero); points with no power or no rise do
/// not take part. n_points = 0 when none is left.
[[nodiscard]] Trend fit_power_law(std::span<const TrendPoint> points);

/// Where the core (base rise + die_to_base * power) meets `limit_rise_k`. Interpolates the points
/// in logarithms where they bracket the limit, else extrapolates the fit.
struct PowerLimit {
  double power_w = 0.0;      ///< NaN when there is no trend
  bool extrapolated = false; ///< the limit lies outside the solved powers
};
[[nodiscard]] PowerLimit power_limit(const Trend& trend, std::span<const TrendPoint> points,
                                     double limit_rise_k, double die_to_base_k_per_w);

/// One row of trend.csv.
struct TrendRow {
  std::string panel;
  std::string orientation;
  std::string finish; ///< of the cooler, where several are compared; the panel's name ends in it
  Trend trend;
  PowerLimit limit;
  double power_limit_error_w = 0.0; ///< from the discretisation-error estimate of the rise
  std::string status;               ///< "converged", or the worst status among its conditions
};

} // namespace tiltfin
