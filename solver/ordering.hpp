#pragma once
// Geometric nested dissection of the mesh (George, SIAM J. Numer. Anal. 10 (1973) 345-363, from
// memory).

#include "mesh/tensor_mesh.hpp"

#include <vector>

namespace tiltfin {

/// Where unknowns stand: a node or a cell.
struct Site {
  bool is_cell = false;
  int number = 0;
};

/// All nodes and cells in the order of a recursive bisection, separators after the halves they
/// part: two lines of nodes and the cells between them, for a node's equation reaches two nodes and
/// the cells round it, a cell's the next cells and the nodes round it. Of all cuts of a part the
/// one that parts it best is taken, which may run inside a solid, where nodes have no unknowns.
/// `at_node`, `at_cell`: how many unknowns stand at each.
[[nodiscard]] std::vector<Site> dissection_order(const TensorMesh& mesh,
                                                 const std::vector<int>& at_node,
                                                 const std::vector<int>& at_cell);

} // namespace tiltfin
