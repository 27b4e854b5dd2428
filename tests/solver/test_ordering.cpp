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

} // namespace

TEST_CASE("Ordering: every cell appears once", "[ordering]") {
  for (const auto& [nx, ny] : {std::pair{1, 1}, {1, 40}, {3, 5}, {40, 2}, {17, 23}, {64, 48}}) {
    CAPTURE(nx, ny);
    std::vector<int> order = dissection_order(air_mesh(nx, ny));
    std::sort(order.begin(), order.end());
    std::vector<int> all(at(nx * ny));
    std::iota(all.begin(), all.end(), 0);
    CHECK(order == all);
  }
}

TEST_CASE("Ordering: two columns come last and part the rest into halves", "[ordering]") {
  const int nx = 20;
  const int ny = 10;
  const std::vector<int> order = dissection_order(air_mesh(nx, ny));
  const std::size_t n_separator = 2 * at(ny);
  const std::size_t half = (order.size() - n_separator) / 2;
  for (std::size_t k = 0; k < order.size(); ++k) {
    const int i = order[k] % nx;
    CAPTURE(k, i);
    if (k < half) {
      CHECK(i < 9);
    } else if (k < 2 * half) {
      CHECK(i > 10);
    } else {
      CHECK((i == 9 || i == 10));
    }
  }
}
