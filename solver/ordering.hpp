#pragma once
// Geometric nested dissection of the cell grid.

#include "mesh/tensor_mesh.hpp"

#include <vector>

namespace tiltfin {

/// The lower left node of a cell, with the others of the last column or row, or what the cell
/// itself holds.
struct GridPlace {
  int cell = 0;
  bool is_node = false;
};

/// Nodes and cells in the order of a recursive bisection (George, SIAM J. Numer. Anal. 10 (1973)
/// 345-363, from memory), separators after the halves they part. A node's equation reaches two
/// nodes, a cell's its neighbours: two lines of nodes part nodes, one line of cells parts cells.
/// Lines that cross solids have few nodes and are preferred. Every cell and its node appear once.
[[nodiscard]] std::vector<GridPlace> dissection_order(const TensorMesh& mesh);

} // namespace tiltfin
