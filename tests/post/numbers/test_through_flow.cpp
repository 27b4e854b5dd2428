#include "post/numbers/flows.hpp"
#include "post/numbers/through_flow.hpp"
#include "post/numbers/upstream.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>
#include <numbers>

namespace tiltfin::tests {
namespace {

/// Two plates of 0.2 m along y with 0.1 m of air between them in a case that leaves 0.1 m of air
/// to the west and to the east of them.
Section two_plates_in_case() {
  Section section;
  section.width = 0.8;
  section.height = 0.8;
  section.depth = 0.5;
  section.solids = {solid_of("left", {0.3, 0.35, 0.3, 0.5}, Role::fin),
                    solid_of("right", {0.45, 0.5, 0.3, 0.5}, Role::fin)};
  section.machine = Rectangle{0.2, 0.6, 0.2, 0.6};
  return section;
}

struct CasedPlates {
  Section section = two_plates_in_case();
  TensorMesh mesh = mesh_of(section, even_axis(0.8, 64), even_axis(0.8, 64));
  Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
};

/// psi of a uniform flow upwards at `speed` [m/s] that solids do not stand in the way of.
Field upwards(double speed) {
  return [=](double x, double) { return -speed * x; };
}

} // namespace

TEST_CASE("Upstream: in solid rotation air comes round on circles", "[through-flow]") {
  // psi = -(r^2) / 2 about the centre: speed r. A quarter of a turn from (x, 0) is (0, -x) or
  // (0, x), pi/2 r of path. Chords of the cells are shorter than the arc by (cell / r)^2 / 24.
  Section section;
  section.width = 2.0;
  section.height = 2.0;
  const TensorMesh mesh = mesh_of(section, even_axis(2.0, 200), even_axis(2.0, 200));
  const State state = state_of(
      mesh,
      [](double x, double y) { return -0.5 * ((x - 1.0) * (x - 1.0) + (y - 1.0) * (y - 1.0)); },
      constant(300.0));
  // The y-face at (1.50 to 1.51, 1.0): air rises through it, so it comes from below.
  const CrossedEdge start = y_edge(mesh, state, 150, 100);
  REQUIRE(start.flow > 0.0);
  const auto bottom =
      upstream_of(mesh, state, start, [](const UpstreamPoint& point) { return point.x <= 1.0; });
  REQUIRE(bottom);
  const double radius = std::sqrt(0.5 * (0.5 * 0.5 + 0.51 * 0.51)); // middle of the flow
  CHECK_THAT(bottom->y, WithinAbs(1.0 - radius, 1e-4)); // (cell)^2 / 8 r of a chord: 2.5e-5
  CHECK_THAT(bottom->path, WithinRel(0.5 * std::numbers::pi * radius, 1e-3));
  // Never anywhere else: the line is closed.
  CHECK_FALSE(upstream_of(mesh, state, start, [](const UpstreamPoint&) { return false; }));
}

TEST_CASE("Upstream: a saddle sends air round the right corner", "[through-flow]") {
  // psi = x y on one cell and its neighbours, flow towards the stagnation point along y and away
  // along x: streamlines are hyperbolas and stay in their quadrant.
  Section section;
  section.width = 0.9;
  section.height = 0.9;
  const TensorMesh mesh = mesh_of(section, even_axis(0.9, 9), even_axis(0.9, 9));
  const auto psi = [](double x, double y) { return (x - 0.44) * (y - 0.43); };
  const State state = state_of(mesh, psi, constant(300.0));
  // u = dpsi/dy = x - 0.44, v = -(y - 0.43): air leaves to the east, comes from north or south.
  for (const int j : {1, 7}) {
    const CrossedEdge start = x_edge(mesh, state, 9, j);
    const auto source = upstream_of(mesh, state, start, [](const UpstreamPoint&) { return false; });
    REQUIRE(source);
    CHECK_FALSE(source->edge.is_x);
    CHECK(source->edge.j == (j == 1 ? 0 : 9));
    // psi is exact on the mesh's nodes and bilinear between: the end is on the same hyperbola.
    CHECK_THAT(psi(source->x, source->y), WithinAbs(psi(0.9, mesh.y.centre(j)), rounding));
  }
}

TEST_CASE("Through-flow: uniform flow feeds the fins from a tenth of their length below",
          "[through-flow]") {
  const CasedPlates plates;
  const double speed = 0.3;
  const State state =
      state_of(plates.mesh, upwards(speed), [](double, double y) { return 280.0 + 100.0 * y; });
  const ThroughFlow flow = through_flow(plates.section, plates.problem, state);
  // Through the outline, 0.2 m wide; psi is not broken by the plates here.
  CHECK_THAT(flow.in, WithinRel(speed * 0.2, rounding));
  CHECK_THAT(flow.fresh, WithinRel(speed * 0.2, rounding));
  CHECK_THAT(flow.re_entering, WithinAbs(0.0, rounding));
  // 0.02 m below the outline at y = 0.3 by the next mesh line, 0.275; then 0.1 m to the machine's
  // outline and the first line past it that is a quarter of 0.2 m away: 0.2 is not outside.
  CHECK_THAT(flow.feeding_temperature, WithinRel(280.0 + 27.5, rounding));
  CHECK_THAT(flow.source_temperature, WithinAbs(280.0 + 19.375, 0.7)); // within half a cell or so
  CHECK_THAT(flow.crossing, WithinRel(speed * 0.1, rounding));
  CHECK_THAT(flow.bypass, WithinRel(speed * 0.2, rounding)); // 0.1 m either side
}

TEST_CASE("Through-flow: air that enters at both ends and leaves in between has no net flow",
          "[through-flow]") {
  // A stagnation flow about the middle of the plates at y = 0.4: psi = -s (x - 0.4) (y - 0.4) comes
  // in from below and above and leaves to both sides. The plates do not stand in the way of this
  // made-up psi; what counts are the edges of the outline.
  const CasedPlates plates;
  const double s = 0.5;
  const State state = state_of(
      plates.mesh, [=](double x, double y) { return s * (x - 0.4) * (y - 0.4); }, constant(300.0));
  const ThroughFlow flow = through_flow(plates.section, plates.problem, state);
  // 0.2 m of either end at the speed s times 0.1 m.
  CHECK_THAT(flow.in, WithinRel(2.0 * 0.2 * s * 0.1, rounding));
  CHECK_THAT(flow.fresh, WithinRel(2.0 * 0.2 * s * 0.1, rounding));
  CHECK_THAT(flow.crossing, WithinAbs(0.0, rounding));
  const std::vector<GapFlow> gaps = gap_flows(plates.section, plates.problem, state);
  REQUIRE(gaps.size() == 1);
  // density 2 kg/m3, depth 0.5 m, 0.1 m of gap at both ends; half of either end's flow.
  CHECK_THAT(gaps[0].in_flow_g_per_s.value, WithinRel(1000.0 * 2.0 * 0.5 * s * 0.1 * 0.1, 1e-9));
  CHECK_THAT(gaps[0].up_flow_g_per_s.value, WithinAbs(0.0, 1e-9));
}

TEST_CASE("Through-flow: an eddy across the edge of the fins brings nothing fresh",
          "[through-flow]") {
  // One eddy of 0.08 m round the middle of the lower edge of the outline: all it brings in has left
  // the outline within half a turn, less than a fin length before.
  const CasedPlates plates;
  const State state = state_of(
      plates.mesh,
      [](double x, double y) {
        return 0.01 * std::max(0.0, 1.0 - std::hypot(x - 0.4, y - 0.3) / 0.04);
      },
      constant(300.0));
  const ThroughFlow flow = through_flow(plates.section, plates.problem, state);
  CHECK_THAT(flow.in, WithinRel(0.01, rounding)); // from psi at its rim to that in its middle
  CHECK(flow.fresh == 0.0);
  CHECK_THAT(flow.re_entering, WithinRel(0.01, rounding));
  CHECK(std::isnan(flow.feeding_temperature));
  CHECK(is_stagnant(plates.problem.air, flow.fresh, 40.0, 10.0));
  CHECK_FALSE(is_stagnant(plates.problem.air, nan, 40.0, 10.0));
}

TEST_CASE("Through-flow: stagnant is less than a tenth of what the flow would carry",
          "[through-flow]") {
  const AirProperties air = hand_air(); // 2 J/(m3 K)
  // 2 * flow * 5 K against a tenth of 100 W/m: 1 m2/s.
  CHECK(is_stagnant(air, 0.99, 5.0, 100.0));
  CHECK_FALSE(is_stagnant(air, 1.01, 5.0, 100.0));
}

TEST_CASE("Flows: gaps count upwards whichever way the machine stands", "[through-flow]") {
  const CasedPlates plates;
  const State state = state_of(plates.mesh, upwards(0.3), constant(300.0)); // towards +y
  const double grams = 1000.0 * 2.0 * 0.5 * 0.3 * 0.1;
  const auto up_flow = [&](double gravity_x, double gravity_y) {
    const Problem problem =
        make_problem(plates.section, plates.mesh, {gravity_x, gravity_y, 0.0}, hand_air());
    return gap_flows(plates.section, problem, state)[0].up_flow_g_per_s.value;
  };
  CHECK_THAT(up_flow(0.0, -9.8), WithinRel(grams, 1e-9));
  CHECK_THAT(up_flow(0.0, 9.8), WithinRel(-grams, 1e-9)); // upside down: +y is down
  CHECK_THAT(up_flow(-9.8, -0.1), WithinRel(grams, 1e-9));
  // Level, x up: a quarter turn brings +x up and +y to the left.
  CHECK_THAT(up_flow(-9.8, 0.0), WithinRel(-grams, 1e-9));
  CHECK_THAT(up_flow(9.8, 0.0), WithinRel(grams, 1e-9)); // hanging: +y is on the right
}

TEST_CASE("Through-flow: without a cooler there is none", "[through-flow]") {
  CasedPlates plates;
  const State state = state_of(plates.mesh, upwards(0.3), constant(300.0));
  plates.section.solids.clear();
  const ThroughFlow flow = through_flow(plates.section, plates.problem, state);
  CHECK(std::isnan(flow.in));
  CHECK(std::isnan(flow.feeding_temperature));
}

TEST_CASE("Through-flow: what leaves the machine and comes back enters again", "[through-flow]") {
  // Uniform flow comes from the room alone; what an eddy of 0.08 m round the middle of the west
  // side turns round comes back after half a turn.
  const CasedPlates plates;
  const auto share = [&](const Field& psi) {
    return case_re_entering_share(plates.section, plates.problem,
                                  state_of(plates.mesh, psi, constant(300.0)));
  };
  CHECK(share(upwards(0.3)) == 0.0);
  const auto eddy = [](double x, double y) {
    return 0.05 * std::max(0.0, 1.0 - std::hypot(x - 0.2, y - 0.4) / 0.08);
  };
  CHECK(share(eddy) == 1.0);
  Section open_air = plates.section;
  open_air.machine.reset();
  CHECK(std::isnan(case_re_entering_share(open_air, plates.problem,
                                          state_of(plates.mesh, upwards(0.3), constant(300.0)))));
}

} // namespace tiltfin::tests
