#include "post/views/refine.hpp"
#include "tests/post/fixtures.hpp"

#include <algorithm>

namespace tiltfin::tests {
namespace {

TensorMesh graded_mesh() {
  return mesh_of(Section{}, axis_of({0.0, 0.1, 0.25, 0.5, 0.55, 1.0}),
                 axis_of({0.0, 0.3, 0.4, 1.0}));
}

} // namespace

TEST_CASE("Refine: mesh lines stay and no step is too long", "[refine]") {
  const TensorMesh mesh = graded_mesh();
  const NodeField field = refined(mesh, state_of(mesh, constant(1.0), constant(0.0)).psi, 0.07);
  REQUIRE(field.values.size() == field.x.size() * field.y.size());
  for (const double face : mesh.x.faces) {
    CHECK(std::find(field.x.begin(), field.x.end(), face) != field.x.end());
  }
  for (std::size_t k = 1; k < field.x.size(); ++k) {
    CHECK(field.x[k] - field.x[k - 1] <= 0.07 + 1e-12);
  }
}

TEST_CASE("Refine: a linear field is kept", "[refine]") {
  const TensorMesh mesh = graded_mesh();
  const auto plane = [](double x, double y) { return 3.0 * x - 2.0 * y + 1.0; };
  const NodeField field = refined(mesh, state_of(mesh, plane, constant(0.0)).psi, 0.03);
  for (std::size_t j = 0; j < field.y.size(); ++j) {
    for (std::size_t i = 0; i < field.x.size(); ++i) {
      CHECK_THAT(field.values[j * field.x.size() + i],
                 WithinAbs(plane(field.x[i], field.y[j]), 1e-12));
    }
  }
}

TEST_CASE("Refine: what is constant in a solid stays constant, and nothing overshoots",
          "[refine]") {
  const TensorMesh mesh = graded_mesh();
  // Constant between x = 0.25 and 0.55, as in a solid, with a steep fall after it.
  const auto psi = [](double x, double) { return x < 0.2 ? x : (x < 0.6 ? 0.25 : -9.0); };
  const NodeField field = refined(mesh, state_of(mesh, psi, constant(0.0)).psi, 0.01);
  for (std::size_t k = 0; k < field.values.size(); ++k) {
    const double x = field.x[k % field.x.size()];
    CHECK(field.values[k] <= 0.25);
    CHECK(field.values[k] >= -9.0);
    if (x >= 0.25 && x <= 0.55) {
      CHECK(field.values[k] == 0.25);
    }
  }
}

} // namespace tiltfin::tests
