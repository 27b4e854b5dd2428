#pragma once
// The discretisation error of a number that is known on two nested meshes.

#include <cmath>

namespace tiltfin {

/// Order of convergence assumed on the meshes in use. The scheme is of second order; combs, stacks
/// and blocks on affordable meshes show 1.5 and less (validation/error_estimate).
inline constexpr double assumed_order = 1.5;

/// Safety on the extrapolated difference. Source: Roache 1994, J. Fluids Eng. 116, 405-413.
inline constexpr double error_safety = 1.25;

/// Estimate of |fine - exact|, Richardson's, for a mesh and one with cells `ratio` times as wide.
/// NaN when either number is.
[[nodiscard]] inline double discretisation_error(double fine, double coarse, double ratio = 2.0) {
  return error_safety * std::abs(fine - coarse) / (std::pow(ratio, assumed_order) - 1.0);
}

} // namespace tiltfin
