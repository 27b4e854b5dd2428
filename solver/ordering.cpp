#include "solver/ordering.hpp"

#include "mesh/index.hpp"

namespace tiltfin {

namespace {

struct Block {
  int i0 = 0;
  int i1 = 0;
  int j0 = 0;
  int j1 = 0;
};

constexpr int separator_width = 2;
constexpr int leaf_cells = 12;

void append(const TensorMesh& mesh, const Block& block, std::vector<int>& order) {
  for (int j = block.j0; j < block.j1; ++j) {
    for (int i = block.i0; i < block.i1; ++i) {
      order.push_back(mesh.cell(i, j));
    }
  }
}

void dissect(const TensorMesh& mesh, const Block& block, std::vector<int>& order) {
  const int wide = block.i1 - block.i0;
  const int high = block.j1 - block.j0;
  const bool split_x = wide >= high;
  const int longer = split_x ? wide : high;
  if (longer <= separator_width + 2 || wide * high <= leaf_cells) {
    append(mesh, block, order);
    return;
  }
  const int first = (split_x ? block.i0 : block.j0) + (longer - separator_width) / 2;
  const int last = first + separator_width;
  Block low = block;
  Block high_block = block;
  Block separator = block;
  if (split_x) {
    low.i1 = first;
    separator.i0 = first;
    separator.i1 = last;
    high_block.i0 = last;
  } else {
    low.j1 = first;
    separator.j0 = first;
    separator.j1 = last;
    high_block.j0 = last;
  }
  dissect(mesh, low, order);
  dissect(mesh, high_block, order);
  append(mesh, separator, order);
}

} // namespace

std::vector<int> dissection_order(const TensorMesh& mesh) {
  std::vector<int> order;
  order.reserve(index(mesh.n_cells()));
  dissect(mesh, {0, mesh.x.n(), 0, mesh.y.n()}, order);
  return order;
}

} // namespace tiltfin
