#include "solver/ordering.hpp"
#include "tests/catch.hpp"
#include "tests/solver/fixtures.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

TensorMesh air_mesh(int nx, int ny) {
  return mesh_on(empty_box(), graded_axis(1.0, nx, 0.0), graded_axis(1.0, ny, 0.0));
}

std::vector<Site> plain_order(const TensorMesh& mesh) {
  return dissection_order(mesh, std::vector<int>(at(mesh.n_nodes()), 1),
                          std::vector<int>(at(mesh.n_cells()), 1));
}

std::vector<int> numbers(const std::vector<Site>& order, bool cells) {
  std::vector<int> result;
  for (const Site& site : order) {
    if (site.is_cell == cells) {
      result.push_back(site.number);
    }
  }
  return result;
}

/// Columns of the last sites: those of the first separator, by the mesh's numbering.
std::vector<int> last_columns(const TensorMesh& mesh, const std::vector<Site>& order, bool cells) {
  const int n_columns = mesh.x.n() + (cells ? 0 : 1);
  std::vector<int> columns;
  const std::size_t n_separator = at(3 * mesh.y.n() + 2);
  for (std::size_t k = order.size() - n_separator; k < order.size(); ++k) {
    if (order[k].is_cell == cells) {
      columns.push_back(order[k].number % n_columns);
    }
  }
  std::sort(columns.begin(), columns.end());
  columns.erase(std::unique(columns.begin(), columns.end()), columns.end());
  return columns;
}

} // namespace

TEST_CASE("Ordering: every node and every cell appears once", "[ordering]") {
  for (const auto& [nx, ny] : {std::pair{1, 1}, {1, 40}, {3, 5}, {40, 2}, {17, 23}, {64, 48}}) {
    CAPTURE(nx, ny);
    const TensorMesh mesh = air_mesh(nx, ny);
    const std::vector<Site> order = plain_order(mesh);
    for (const bool cells : {false, true}) {
      std::vector<int> own = numbers(order, cells);
      std::sort(own.begin(), own.end());
      std::vector<int> all(at(cells ? mesh.n_cells() : mesh.n_nodes()));
      std::iota(all.begin(), all.end(), 0);
      CHECK(own == all);
    }
  }
}

TEST_CASE("Ordering: a column of cells and its nodes part air into halves", "[ordering]") {
  const TensorMesh mesh = air_mesh(21, 10);
  const std::vector<Site> order = plain_order(mesh);
  CHECK((last_columns(mesh, order, true) == std::vector<int>{10}));
  CHECK((last_columns(mesh, order, false) == std::vector<int>{10, 11}));
}

TEST_CASE("Ordering: a cut rather runs inside a solid", "[ordering]") {
  const TensorMesh mesh = air_mesh(21, 10);
  std::vector<int> at_node(at(mesh.n_nodes()), 1);
  for (int j = 0; j <= mesh.y.n(); ++j) { // a plate that fills column 7
    at_node[at(mesh.node(7, j))] = 0;
    at_node[at(mesh.node(8, j))] = 0;
  }
  const std::vector<Site> order =
      dissection_order(mesh, at_node, std::vector<int>(at(mesh.n_cells()), 1));
  CHECK((last_columns(mesh, order, true) == std::vector<int>{7}));
}

TEST_CASE("Ordering: no equation reaches across the first cut", "[ordering]") {
  Section section = heated_box();
  section.sides[south].kind = SideKind::open; // nodes there have unknowns
  section.sides[north].kind = SideKind::open;
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, 21, 0.3), graded_axis(1.0, 10, 0.3));
  const Problem problem = make_problem(section, mesh, tilted(37.0, 1e4), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  std::vector<int> half(at(unknowns.n), 0); // -1, 1: beside the cut; 0: in it, or an island's
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      half[at(unknowns.temperature[at(mesh.cell(i, j))])] = i < 10 ? -1 : (i > 10 ? 1 : 0);
    }
  }
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      const int node = mesh.node(i, j);
      if (unknowns.island[at(node)] < 0 && unknowns.psi[at(node)] >= 0) {
        half[at(unknowns.psi[at(node)])] = i < 10 ? -1 : (i > 11 ? 1 : 0);
      }
    }
  }
  const SparseMatrix matrix = make_jacobian(problem, unknowns).matrix;
  int across = 0;
  int beside = 0;
  for (int column = 0; column < matrix.n; ++column) {
    for (int k = matrix.column_start[at(column)]; k < matrix.column_start[at(column) + 1]; ++k) {
      const int product = half[at(column)] * half[at(matrix.row[at(k)])];
      across += product < 0 ? 1 : 0;
      beside += product > 0 ? 1 : 0;
    }
  }
  CHECK(across == 0);
  CHECK(beside > matrix.n);
}
