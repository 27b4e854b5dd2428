#include "solver/ordering.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace tiltfin {

namespace {

std::size_t index(int k) {
  return static_cast<std::size_t>(k);
}

constexpr int leaf_unknowns = 24;

/// A half-open range of columns (0) and of rows (1).
struct Block {
  std::array<int, 2> first{};
  std::array<int, 2> last{};

  [[nodiscard]] bool empty() const { return first[0] >= last[0] || first[1] >= last[1]; }
};

/// Sums over blocks of a grid in four additions.
class Sums {
public:
  Sums(const std::vector<int>& value, int columns)
      : stride_(columns + 1), sum_(index(stride_) * (value.size() / index(columns) + 1), 0) {
    for (std::size_t k = 0; k < value.size(); ++k) {
      const std::size_t above = k / index(columns) * index(stride_) + k % index(columns);
      const std::size_t own = above + index(stride_) + 1;
      sum_[own] = value[k] + sum_[own - 1] + sum_[above + 1] - sum_[above];
    }
  }

  [[nodiscard]] int operator()(const Block& block) const {
    return block.empty()
               ? 0
               : at(block.last[0], block.last[1]) - at(block.first[0], block.last[1]) -
                     at(block.last[0], block.first[1]) + at(block.first[0], block.first[1]);
  }

private:
  [[nodiscard]] int at(int i, int j) const { return sum_[index(j) * index(stride_) + index(i)]; }

  int stride_;
  std::vector<int> sum_;
};

/// Nodes and cells that belong together.
struct Part {
  Block nodes;
  Block cells;
};

/// What a cut leaves before it and behind it, and itself.
struct Cut {
  Part low;
  Part high;
  Part separator;
};

/// The cells of a column (or row) and the nodes at both its sides.
Cut cut_at(const Part& part, std::size_t axis, int column) {
  Cut cut{part, part, part};
  cut.low.nodes.last[axis] = cut.separator.nodes.first[axis] = column;
  cut.separator.nodes.last[axis] = cut.high.nodes.first[axis] = column + 2;
  cut.low.cells.last[axis] = cut.separator.cells.first[axis] = column;
  cut.separator.cells.last[axis] = cut.high.cells.first[axis] = column + 1;
  return cut;
}

class Dissection {
public:
  Dissection(const TensorMesh& mesh, const std::vector<int>& at_node,
             const std::vector<int>& at_cell)
      : mesh_(mesh), at_nodes_(at_node, mesh.x.n() + 1), at_cells_(at_cell, mesh.x.n()) {
    const int nx = mesh.x.n();
    const int ny = mesh.y.n();
    order_.reserve(at_node.size() + at_cell.size());
    part_up({{{0, 0}, {nx + 1, ny + 1}}, {{0, 0}, {nx, ny}}});
  }

  std::vector<Site> take() { return std::move(order_); }

private:
  [[nodiscard]] int unknowns(const Part& part) const {
    return at_nodes_(part.nodes) + at_cells_(part.cells);
  }

  void part_up(const Part& part) { // NOLINT(misc-no-recursion)
    double best = 0.0;
    Cut taken;
    if (unknowns(part) > leaf_unknowns) {
      for (const std::size_t axis : {0U, 1U}) {
        for (int column = part.cells.first[axis]; column < part.cells.last[axis]; ++column) {
          const Cut cut = cut_at(part, axis, column);
          const double halves = static_cast<double>(unknowns(cut.low)) * unknowns(cut.high);
          const double quality = halves / std::max(1, unknowns(cut.separator));
          if (quality > best) {
            best = quality;
            taken = cut;
          }
        }
      }
    }
    if (best == 0.0) {
      append(part);
      return;
    }
    part_up(taken.low);
    part_up(taken.high);
    append(taken.separator);
  }

  /// Row by row, a node before the cell to its upper right.
  void append(const Part& part) {
    const auto from = [&part](std::size_t axis) {
      return std::min(part.nodes.first[axis], part.cells.first[axis]);
    };
    const auto to = [&part](std::size_t axis) {
      return std::max(part.nodes.last[axis], part.cells.last[axis]);
    };
    for (int j = from(1); j < to(1); ++j) {
      for (int i = from(0); i < to(0); ++i) {
        if (contains(part.nodes, i, j)) {
          order_.push_back({false, mesh_.node(i, j)});
        }
        if (contains(part.cells, i, j)) {
          order_.push_back({true, mesh_.cell(i, j)});
        }
      }
    }
  }

  static bool contains(const Block& block, int i, int j) {
    return i >= block.first[0] && i < block.last[0] && j >= block.first[1] && j < block.last[1];
  }

  const TensorMesh& mesh_;
  Sums at_nodes_;
  Sums at_cells_;
  std::vector<Site> order_;
};

} // namespace

std::vector<Site> dissection_order(const TensorMesh& mesh, const std::vector<int>& at_node,
                                   const std::vector<int>& at_cell) {
  return Dissection(mesh, at_node, at_cell).take();
}

} // namespace tiltfin
