#pragma once
// A node field on a finer grid, for drawing: smooth, yet never beyond the values it had, so that
// what is constant in a solid stays constant and no false eddies appear.

#include "mesh/tensor_mesh.hpp"

#include <vector>

namespace tiltfin {

/// Node values on a grid of lines; x fastest.
struct NodeField {
  std::vector<double> x; ///< ascending [m]
  std::vector<double> y; ///< ascending [m]
  std::vector<double> values;
};

/// Piecewise cubic, monotone between nodes, direction by direction; every mesh line is kept and
/// lines are added between so that none are farther apart than `largest_step` [m]. A mesh of fewer
/// than three cells along a direction is left as it is.
/// Source: Fritsch and Butland 1984, SIAM J. Sci. Stat. Comput. 5, 300-304 (slopes inside).
[[nodiscard]] NodeField refined(const TensorMesh& mesh, const std::vector<double>& node_values,
                                double largest_step);

} // namespace tiltfin
