#pragma once
// View factors between straight strips in the plane (surfaces of infinite length out of it), the
// geometry of radiation alone. Lengths in m.

#include "mesh/index.hpp"

#include <span>
#include <vector>

namespace tiltfin {

/// A straight surface from point 0 to point 1 that looks to its left.
struct Strip {
  double x0 = 0.0; ///< [m]
  double y0 = 0.0;
  double x1 = 0.0;
  double y1 = 0.0;

  [[nodiscard]] double length() const;
};

/// Exchange length A F (per metre of depth, A the strip's length) of two strips that see each other
/// whole: half of what the crossed strings are longer than the uncrossed ones [m].
/// Source: Hottel's crossed strings, in every textbook of radiative heat transfer.
[[nodiscard]] double crossed_strings(const Strip& a, const Strip& b);

/// View factors of a closed scene, exactly reciprocal and closed to 1e-10, with the errors that
/// they had before that was enforced.
struct ViewFactors {
  int n = 0;
  std::vector<double> exchange; ///< A_i F_ij, n x n by rows, symmetric; rows add up to A_i [m]
  double raw_reciprocity = 0.0; ///< largest |A_i F_ij - A_j F_ji| over the shorter strip [-]
  double raw_closure = 0.0;     ///< largest |sum over j of F_ij - 1| [-]

  [[nodiscard]] double at(int i, int j) const { return exchange[index(i) * index(n) + index(j)]; }
};

/// View factors between `strips`, which hide each other and between them bound every space that
/// they look into. Pairs in full view of each other get crossed strings, exact; of the others each
/// strip is looked out from at `points` points, exactly in angle at each, and what the two ends
/// of a pair find is averaged. Then the smallest correction of those pairs closes every row
/// (solver/closure).
/// Throws std::invalid_argument when the rows cannot be closed: the scene has a hole.
[[nodiscard]] ViewFactors view_factors(std::span<const Strip> strips, int points = 8);

} // namespace tiltfin
