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
  options.n_levels = 10;
  options.largest_step = 0.0125;
  const Streamlines streamlines = make_streamlines(mesh, state, whole, options);
  CHECK_THAT(streamlines.spacing, WithinRel(0.2, 1e-12));
  REQUIRE(streamlines.lines.size() >= 10);
  for (const Streamline& line : streamlines.lines) {
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
  CHECK(make_streamlines(mesh, still, whole, {}).lines.empty());
}

TEST_CASE("Streamlines: levels follow the part that is seen", "[streamlines]") {
  const TensorMesh mesh = square_mesh(8);
  const State state = state_of(
      mesh, [](double, double y) { return y; }, constant(300.0));
  StreamlineOptions options;
  options.n_levels = 4;
  options.tolerance = 1e-9;
  const Streamlines streamlines = make_streamlines(mesh, state, {-1.0, 1.0, 0.0, 1.0}, options);
  CHECK_THAT(streamlines.spacing, WithinRel(0.25, 1e-12));
  REQUIRE(streamlines.lines.size() == 4);
  for (const Streamline& line : streamlines.lines) {
    CHECK(line.psi > 0.0);
    REQUIRE(line.points.size() == 2);             // straight: all points between are left out
    CHECK(line.points[0][0] < line.points[1][0]); // the air runs towards +x
  }
}

TEST_CASE("Streamlines: slow air in the focus gets its lines, up to a limit", "[streamlines]") {
  const TensorMesh mesh = square_mesh(20);
  const State state = state_of(
      mesh, [](double, double y) { return y; }, constant(300.0));
  StreamlineOptions options;
  options.n_levels = 4;
  options.focus = Rectangle{-1.0, 1.0, 0.0, 0.5}; // a quarter of the range of psi
  CHECK_THAT(make_streamlines(mesh, state, whole, options).spacing, WithinRel(0.125, 1e-12));
  options.most_levels = 10;
  CHECK_THAT(make_streamlines(mesh, state, whole, options).spacing, WithinRel(0.2, 1e-12));
  options.focus = Rectangle{-1.0, 1.0, 0.1, 0.1}; // no range at all
  CHECK_THAT(make_streamlines(mesh, state, whole, options).spacing, WithinRel(0.2, 1e-12));
}

} // namespace tiltfin::tests
