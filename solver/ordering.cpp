#include "solver/ordering.hpp"

#include "mesh/index.hpp"

#include <limits>
#include <optional>

namespace tiltfin {

namespace {

constexpr int leaf_cells = 12;
constexpr int shortest_cut = 5; // lines: a separator's two, and enough on both sides of it

/// How much dearer a separator is where one side is empty. Fill and operations of the shipped cases
/// are lowest between 2 and 4 and within 5 % from 1 to 8.
constexpr double weight_of_imbalance = 2.0;

/// Cells of columns i0 to i1 and rows j0 to j1, and their nodes from column node_i0 and row
/// node_j0.
struct Block {
  int i0 = 0;
  int i1 = 0;
  int j0 = 0;
  int j1 = 0;
  int node_i0 = 0;
  int node_j0 = 0;
};

/// A separator: cells of line `first`, nodes of the lines `first` and `first` + 1.
struct Cut {
  bool is_column = true;
  int first = 0;
  double cost = std::numeric_limits<double>::max();
};

/// Unknowns of a line of cells.
struct Line {
  int cells = 0;
  int nodes = 0;
};

/// The node is in the air: what bounds air has one value for all its nodes.
bool is_free(const TensorMesh& mesh, int i, int j) {
  for (const int b : {j - 1, j}) {
    for (const int a : {i - 1, i}) {
      if (a >= 0 && b >= 0 && !mesh.is_air(a, b)) {
        return false;
      }
    }
  }
  return true;
}

std::vector<Line> count_lines(const TensorMesh& mesh, const Block& block, bool columns) {
  std::vector<Line> lines(index(columns ? block.i1 - block.i0 : block.j1 - block.j0));
  for (int j = block.j0; j < block.j1; ++j) {
    for (int i = block.i0; i < block.i1; ++i) {
      Line& line = lines[index(columns ? i - block.i0 : j - block.j0)];
      line.cells += mesh.medium_at(mesh.cell(i, j)) > 0 ? 3 : 1; // fins and age of air as well
      if (i >= block.node_i0 && j >= block.node_j0 && is_free(mesh, i, j)) {
        ++line.nodes;
      }
    }
  }
  return lines;
}

Cut cheapest_cut(const TensorMesh& mesh, const Block& block, bool columns) {
  const std::vector<Line> lines = count_lines(mesh, block, columns);
  const int begin = columns ? block.i0 : block.j0;
  const int n = static_cast<int>(lines.size());
  Cut best;
  if (n < shortest_cut) {
    return best;
  }
  int all = 0;
  for (const Line& line : lines) {
    all += line.cells + line.nodes;
  }
  int below = lines.front().cells + lines.front().nodes;
  for (int k = 1; k + 2 < n; ++k) {
    const int own = lines[index(k)].cells + lines[index(k)].nodes;
    const int separator = own + lines[index(k) + 1].nodes;
    const double imbalance = static_cast<double>(all - separator - 2 * below) / all;
    const double cost = separator * (1.0 + weight_of_imbalance * imbalance * imbalance);
    if (cost < best.cost) {
      best = {columns, begin + k, cost};
    }
    below += own;
  }
  return best;
}

std::optional<Cut> choose_cut(const TensorMesh& mesh, const Block& block) {
  if ((block.i1 - block.i0) * (block.j1 - block.j0) <= leaf_cells) {
    return std::nullopt;
  }
  const Cut column = cheapest_cut(mesh, block, true);
  const Cut row = cheapest_cut(mesh, block, false);
  const Cut& cut = row.cost < column.cost ? row : column;
  return cut.first > 0 ? std::optional(cut) : std::nullopt;
}

void append(const TensorMesh& mesh, const Block& block, std::vector<GridPlace>& order) {
  for (int j = block.j0; j < block.j1; ++j) {
    for (int i = block.i0; i < block.i1; ++i) {
      if (i >= block.node_i0 && j >= block.node_j0) {
        order.push_back({mesh.cell(i, j), true});
      }
      order.push_back({mesh.cell(i, j), false});
    }
  }
}

void dissect(const TensorMesh& mesh, const Block& block, // NOLINT(misc-no-recursion)
             std::vector<GridPlace>& order) {
  const std::optional<Cut> cut = choose_cut(mesh, block);
  if (!cut) {
    append(mesh, block, order);
    return;
  }
  Block below = block;
  Block above = block;
  Block separator = block;
  (cut->is_column ? below.i1 : below.j1) = cut->first;
  (cut->is_column ? separator.i0 : separator.j0) = cut->first;
  (cut->is_column ? separator.node_i0 : separator.node_j0) = cut->first;
  (cut->is_column ? separator.i1 : separator.j1) = cut->first + 1;
  (cut->is_column ? above.i0 : above.j0) = cut->first + 1;
  (cut->is_column ? above.node_i0 : above.node_j0) = cut->first + 2;
  dissect(mesh, below, order);
  dissect(mesh, above, order);
  append(mesh, separator, order);
  const int second = cut->first + 1; // line of nodes whose cells lie above
  if (cut->is_column) {
    for (int j = block.node_j0; j < block.j1; ++j) {
      order.push_back({mesh.cell(second, j), true});
    }
  } else {
    for (int i = block.node_i0; i < block.i1; ++i) {
      order.push_back({mesh.cell(i, second), true});
    }
  }
}

} // namespace

std::vector<GridPlace> dissection_order(const TensorMesh& mesh) {
  std::vector<GridPlace> order;
  order.reserve(2 * index(mesh.n_cells()));
  dissect(mesh, {0, mesh.x.n(), 0, mesh.y.n(), 0, 0}, order);
  return order;
}

} // namespace tiltfin
