#pragma once
// The discretisation error of a number that is known on two nested meshes.

#include "solver/steady.hpp"

namespace tiltfin {

/// Order of convergence assumed on the meshes in use. The scheme is of second order; combs, stacks
/// and blocks on affordable meshes show 1.5 and less (validation/error_estimate).
inline constexpr double assumed_order = 1.5;

/// The same where heat is carried with more upwinding (solver/bounds): upwind values are of first
/// order.
inline constexpr double upwind_order = 1.0;

/// Safety on the extrapolated difference. Source: Roache 1994, J. Fluids Eng. 116, 405-413.
inline constexpr double error_safety = 1.25;

/// Least error of a number, as a share of it, over how far the temperatures of the two meshes are
/// apart: where a difference passes through zero nothing else tells of the error. Chosen on the
/// pairs of validation/error_estimate.
inline constexpr double least_share = 0.45;

/// A mesh and its coarse partner.
struct MeshPair {
  double ratio = 2.0; ///< widths of the partner's cells over those of the mesh
  double order = assumed_order;
  double apart = 0.0; ///< see temperatures_apart
};

/// How far the air's temperatures on the two meshes of a solution are apart: root of the mean
/// square over the air's area, over the range of temperatures [-]; 0 without a partner.
[[nodiscard]] double temperatures_apart(const Solution& solution);

/// The two that a solution stands on.
[[nodiscard]] MeshPair mesh_pair(const Solution& solution);

/// Estimate of |fine - exact|, Richardson's, but no less than what the meshes' temperatures tell.
/// Of temperatures the rises, for that share is one of `fine`. NaN when either number is.
[[nodiscard]] double discretisation_error(double fine, double coarse, const MeshPair& pair = {});

} // namespace tiltfin
