#pragma once
// Maxima of profiles that are known at the mesh's places only.

#include <algorithm>
#include <cstddef>
#include <vector>

namespace tiltfin::validation {

struct Peak {
  double position = 0.0;
  double value = 0.0;
};

/// Largest value of a profile `f` known at ascending places `x` (three or more), and its place, by
/// the parabola through the largest inner value and its neighbours.
inline Peak peak(const std::vector<double>& x, const std::vector<double>& f) {
  const auto top = std::max_element(f.begin() + 1, f.end() - 1) - f.begin();
  const auto k = static_cast<std::size_t>(top);
  const double left = (f[k] - f[k - 1]) / (x[k] - x[k - 1]);
  const double right = (f[k + 1] - f[k]) / (x[k + 1] - x[k]);
  const double curvature = (right - left) / (x[k + 1] - x[k - 1]);
  const double slope = left + curvature * (x[k] - x[k - 1]);
  if (curvature >= 0.0) {
    return {x[k], f[k]};
  }
  return {x[k] - slope / (2.0 * curvature), f[k] - slope * slope / (4.0 * curvature)};
}

} // namespace tiltfin::validation
