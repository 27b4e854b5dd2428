#pragma once
// Geometric nested dissection of the cell grid.

#include "mesh/tensor_mesh.hpp"

#include <vector>

namespace tiltfin {

/// Cells in the order of a recursive bisection whose separators are two cells wide (a node's
/// equation reaches two nodes), separators after the halves they part. A permutation of all cells.
[[nodiscard]] std::vector<int> dissection_order(const TensorMesh& mesh);

} // namespace tiltfin
