#include "solver/ordering.hpp"
#include "tests/catch.hpp"
#include "tests/solver/fixtures.hpp"

#include <algorithm>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

TensorMesh air_mesh(int nx, int ny) {
  return mesh_on(empty_box(), graded_axis(1.0, nx, 0.0), graded_axis(1.0, ny, 0.0));
}

} // namespace

TEST_CASE("Ordering: every cell and its node appear once", "[ordering]") {
  for (const auto& [nx, ny] : {std::pair{1, 1}, {1, 40}, {3, 5}, {40, 2}, {17, 23}, {64, 48}}) {
    CAPTURE(nx, ny);
    std::vector<int> nodes(at(nx * ny), 0);
    std::vector<int> cells(at(nx * ny), 0);
    for (const auto [cell, is_node] : dissection_order(air_mesh(nx, ny))) {
      ++(is_node ? nodes : cells)[at(cell)];
    }
    CHECK(std::ranges::count(nodes, 1) == nx * ny);
    CHECK(std::ranges::count(cells, 1) == nx * ny);
  }
}

TEST_CASE("Ordering: two columns of nodes and one of cells come last and part the rest",
          "[ordering]") {
  const int nx = 20;
  const int ny = 10;
  const Section section = heated_box();
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, nx, 0.0), graded_axis(1.0, ny, 0.0));
  const std::vector<GridPlace> order = dissection_order(mesh);
  const std::size_t n_separator = 3 * at(ny);
  const int column = order[order.size() - n_separator].cell % nx;
  CHECK((column > 7 && column < 12)); // in the middle, more or less
  for (std::size_t k = order.size() - n_separator; k < order.size(); ++k) {
    const int i = order[k].cell % nx;
    CHECK((i == column || (i == column + 1 && order[k].is_node)));
  }

  // What stands left and right of it has no entry of the Jacobian in common.
  const Problem problem = make_problem(section, mesh, tilted(37.0, 1e4), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  std::vector<int> side(at(unknowns.n), 0);
  for (int j = 0; j < ny; ++j) {
    for (int i = 0; i < nx; ++i) {
      const int node = unknowns.psi[at(mesh.node(i, j))];
      if (unknowns.island[at(mesh.node(i, j))] < 0 && i != column && i != column + 1) {
        side[at(node)] = i < column ? -1 : 1;
      }
      if (i != column) {
        side[at(unknowns.temperature[at(mesh.cell(i, j))])] = i < column ? -1 : 1;
      }
    }
  }
  CHECK(std::ranges::count(side, -1) > unknowns.n / 3);
  CHECK(std::ranges::count(side, 1) > unknowns.n / 3);
  const SparseMatrix matrix = make_jacobian(problem, unknowns).matrix;
  int across = 0;
  for (int unknown = 0; unknown < matrix.n; ++unknown) {
    for (int k = matrix.column_start[at(unknown)]; k < matrix.column_start[at(unknown) + 1]; ++k) {
      across += side[at(unknown)] * side[at(matrix.row[at(k)])] < 0 ? 1 : 0;
    }
  }
  CHECK(across == 0);
}

TEST_CASE("Ordering: a separator runs through a solid where one is near the middle", "[ordering]") {
  Section section = empty_box();
  section.solids = {solid({0.35, 0.45, 0.0, 1.0}, 1.0)}; // columns 7 and 8 of 20
  const int nx = 20;
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, nx, 0.0), graded_axis(1.0, nx, 0.0));
  const std::vector<GridPlace> order = dissection_order(mesh);
  for (std::size_t k = order.size() - 3 * at(nx); k < order.size(); ++k) {
    if (!order[k].is_node) {
      const int i = order[k].cell % nx;
      CHECK((i == 7 || i == 8));
    }
  }
}
