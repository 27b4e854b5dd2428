#pragma once
// A straight line through weighted points.

#include <span>

namespace tiltfin {

/// y = mean_y + slope (x - mean_x).
struct StraightLine {
  double weight = 0.0; ///< sum of the points' weights
  double mean_x = 0.0;
  double mean_y = 0.0;
  double sxx = 0.0;            ///< sum of weight (x - mean_x)^2
  double slope = 0.0;          ///< NaN where all x are equal
  double sum_of_squares = 0.0; ///< of the weighted residuals

  [[nodiscard]] double at(double x) const { return mean_y + slope * (x - mean_x); }
};

/// Weighted least squares; as many y and weights as x, at least one.
[[nodiscard]] StraightLine fit_straight_line(std::span<const double> x, std::span<const double> y,
                                             std::span<const double> weights);
/// The same with weights of 1.
[[nodiscard]] StraightLine fit_straight_line(std::span<const double> x, std::span<const double> y);

} // namespace tiltfin
