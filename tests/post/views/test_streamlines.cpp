#include "post/views/streamlines.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

const Rectangle whole{-1.0, 1.0, -1.0, 1.0};

TensorMesh square_mesh(int n) {
  Section section;
  Axis axis = even_axis(2.0, n);
  for (double& face : axis.faces) {
    face -= 1.0;
  }
  return mesh_of(section, axis, axis);
}

} // namespace

TEST_CASE("Streamlines: a solid-body eddy has round ones, along the air", "[streamlines]") {
  const TensorMesh mesh = square_mesh(40);
  // u = dpsi/dy = 2 y, v = -dpsi/dx = -2 x: clockwise.
  const State state = state_of(
      mesh, [](double x, double y) { return x * x + y * y; }, constant(300.0));
  StreamlineOptions options;
  options.spacing = 0.2;
  options.largest_step = 0.0125;
  const std::vector<Streamline> lines = make_streamlines(mesh, state, whole, options);
  REQUIRE(lines.size() >= 10); // 0.1, 0.3 to 1.9; beyond 1 in four corners
  for (const Streamline& line : lines) {
    double turning = 0.0;
    for (std::size_t k = 0; k < line.points.size(); ++k) {
      const auto& [x, y] = line.points[k];
      // Cells of 0.05: the slopes of the interpolation are off by at most a cell's change of slope,
      // 2 * 0.05, over a quarter of a cell either way.
      CHECK_THAT(x * x + y * y, WithinAbs(line.psi, 0.0025));
      if (k > 0) {
        const auto& [x0, y0] = line.points[k - 1];
        turning += x0 * y - y0 * x;
      }
    }
    CHECK(turning < 0.0);
    if (line.psi < 0.95) {
      CHECK(line.points.front() == line.points.back()); // closed within the square
    }
  }
}

TEST_CASE("Streamlines: there are none in still air", "[streamlines]") {
  const TensorMesh mesh = square_mesh(8);
  const State still = state_of(mesh, constant(0.25), constant(300.0));
  CHECK(psi_span(mesh, still, whole) == 0.0);
  CHECK(make_streamlines(mesh, still, whole, {.spacing = 0.1}).empty());
}

TEST_CASE("Streamlines: levels lie at odd halves of the spacing, wherever one looks",
          "[streamlines]") {
  const TensorMesh mesh = square_mesh(8);
  const State state = state_of(
      mesh, [](double, double y) { return y; }, constant(300.0));
  const StreamlineOptions options{.spacing = 0.3, .tolerance = 1e-9};
  const Rectangle seen{-1.0, 0.3, -0.5, 0.25};
  CHECK_THAT(psi_span(mesh, state, seen), WithinRel(0.75, 1e-12));
  const std::vector<Streamline> lines = make_streamlines(mesh, state, seen, options);
  REQUIRE(lines.size() == 3);
  for (std::size_t k = 0; k < lines.size(); ++k) {
    CHECK_THAT(lines[k].psi, WithinAbs(-0.45 + 0.3 * static_cast<double>(k), 1e-12));
    REQUIRE(lines[k].points.size() == 2);                 // straight: points between are left out
    CHECK(lines[k].points[0][0] < lines[k].points[1][0]); // the air runs towards +x
    CHECK(lines[k].points[1][0] <
          0.35); // the refined grid's next line after 0.3, not the mesh's end
  }
}

} // namespace tiltfin::tests
