#pragma once
// The discretisation error of a number that is known on two nested meshes.

#include "solver/steady.hpp"

#include <cmath>

namespace tiltfin {

/// Order of convergence assumed on the meshes in use. The scheme is of second order; combs, stacks
/// and blocks on affordable meshes show 1.5 and less (validation/error_estimate).
inline constexpr double assumed_order = 1.5;

/// The same where heat is carried with more upwinding (solver/bounds): upwind values are of first
/// order.
inline constexpr double upwind_order = 1.0;

/// Safety on the extrapolated difference. Source: Roache 1994, J. Fluids Eng. 116, 405-413.
inline constexpr double error_safety = 1.25;

/// A mesh and its coarse partner.
struct MeshPair {
  double ratio = 2.0; ///< widths of the partner's cells over those of the mesh
  double order = assumed_order;
};

/// The two that a solution stands on.
[[nodiscard]] inline MeshPair mesh_pair(const Solution& solution) {
  const bool upwinds = solution.problem.heat_peclet < solution.problem.blend_peclet;
  return {solution.coarse_ratio, upwinds ? upwind_order : assumed_order};
}

/// Estimate of |fine - exact|, Richardson's. NaN when either number is.
[[nodiscard]] inline double discretisation_error(double fine, double coarse,
                                                 const MeshPair& pair = {}) {
  return error_safety * std::abs(fine - coarse) / (std::pow(pair.ratio, pair.order) - 1.0);
}

} // namespace tiltfin
