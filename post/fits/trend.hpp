#pragma once
// Rise against power: the fit, its interval, and the power limit.

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct TrendPoint {
  double power_w = 0.0;
  double rise_k = 0.0;       ///< mean base rise above the room
  double rise_error_k = 0.0; ///< standard error; 0: not known
};

/// The band of 95 % confidence about a fitted line: half-width at x is
/// multiplier * sqrt(1 / weight + (x - mean_x)^2 / sxx). Draper and Smith, Applied Regression
/// Analysis (from memory).
struct TrendBand {
  double multiplier = 0.0; ///< 0: too few points, no band
  double weight = 1.0;     ///< sum of the points' weights
  double mean_x = 0.0;     ///< of ln power, or of power for a straight line
  double sxx = 1.0;
};

/// rise = offset + factor * power^exponent. A power law has offset 0 and is fitted in logarithms;
/// a straight line has exponent 1 and is fitted as it stands.
struct Trend {
  int n_points = 0;
  double factor = 0.0;       ///< [K / W^exponent]
  double exponent = 0.0;     ///< [-]
  double exponent_low = 0.0; ///< 95 % interval (Student); equals exponent for fewer than 3 points
  double exponent_high = 0.0;
  double largest_misfit = 0.0; ///< largest |fit / point - 1| [-]
  double offset_k = 0.0;       ///< of a straight line
  bool is_line = false;
  TrendBand band; ///< of ln rise for a power law, of the rise [K] for a straight line
};

/// 95 % interval; low 0 and high infinity where the points do not bound it.
struct Interval {
  double low = 0.0;
  double high = 0.0;
};

/// One point gives exponent 1 (a straight line through zero); points with no power or no rise do
/// not take part. n_points = 0 when none is left. Where every point has a standard error, weights
/// are 1 / error^2 (of the logarithm); intervals come from the scatter about the fit with Student's
/// t, and are never narrower than the standard errors alone make them.
[[nodiscard]] Trend fit_power_law(std::span<const TrendPoint> points);

/// The same with a straight line, rise = offset + factor * power. One power gives a line through
/// zero.
[[nodiscard]] Trend fit_line(std::span<const TrendPoint> points);

/// The fitted rise at a power [K], and its 95 % confidence band.
[[nodiscard]] double fitted_rise(const Trend& trend, double power_w);
[[nodiscard]] Interval fitted_rise_interval(const Trend& trend, double power_w);

/// Power at which the fit itself, with die_to_base * power on top, meets `limit_rise_k`: NaN when
/// it never does.
[[nodiscard]] double fitted_power_limit(const Trend& trend, double limit_rise_k,
                                        double die_to_base_k_per_w);

/// The powers at which the edges of the band meet the limit: Fieller's interval for a calibrated
/// line, exact when errors are normal and die_to_base is 0. NaN without a band.
[[nodiscard]] Interval fitted_power_limit_interval(const Trend& trend, double limit_rise_k,
                                                   double die_to_base_k_per_w);

/// Where the core (base rise + die_to_base * power) meets `limit_rise_k`. Interpolates the points
/// in logarithms where they bracket the limit, else extrapolates the fit.
struct PowerLimit {
  double power_w = 0.0;      ///< NaN when there is no trend
  bool extrapolated = false; ///< the limit lies outside the solved powers
};
[[nodiscard]] PowerLimit power_limit(const Trend& trend, std::span<const TrendPoint> points,
                                     double limit_rise_k, double die_to_base_k_per_w);

} // namespace tiltfin
