#include "post/numbers/flows.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

/// Two upright plates with 0.1 m of air between them, and an opening in the east.
Section two_plates() {
  Section section;
  section.width = 0.4;
  section.height = 0.4;
  section.depth = 0.5;
  section.solids = {solid_of("left", {0.1, 0.15, 0.1, 0.3}, Role::fin),
                    solid_of("right", {0.25, 0.3, 0.1, 0.3}, Role::fin)};
  section.openings = {{"slot", {0.35, 0.35, 0.1, 0.3}}};
  return section;
}

struct Plates {
  Section section = two_plates();
  TensorMesh mesh = mesh_of(section, even_axis(0.4, 16), even_axis(0.4, 16));
  Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
};

} // namespace

TEST_CASE("Flows: the flow through a gap is the difference of psi between its walls", "[flows]") {
  const Plates plates;
  // 0.03 m2/s on the left plate, 0.01 on the right, linear between: uniform and upwards.
  const State state = state_of(
      plates.mesh,
      [](double x, double) { return 0.03 - 0.02 * std::min(std::max((x - 0.15) / 0.1, 0.0), 1.0); },
      [](double x, double) { return 300.0 + 50.0 * (x - 0.15); });

  const std::vector<GapFlow> gaps = gap_flows(plates.section, plates.problem, state);
  REQUIRE(gaps.size() == 1);
  CHECK(gaps[0].name == "left | right");
  // density 2 kg/m3 times depth 0.5 m times 0.02 m2/s.
  CHECK_THAT(gaps[0].net_flow_kg_per_s.value, WithinRel(0.02, rounding));
  CHECK_THAT(gaps[0].recirculation, WithinAbs(0.0, rounding));
  CHECK_THAT(gaps[0].mean_temperature_c, WithinRel(300.0 + 50.0 * 0.05 - 273.15, rounding));
  CHECK_THAT(gap_recirculation(plates.section, plates.problem, state), WithinAbs(0.0, rounding));
}

TEST_CASE("Flows: a gap between plates that lie along x counts its flow towards -x", "[flows]") {
  Section section = two_plates();
  for (Solid& solid : section.solids) {
    const Rectangle r = solid.extent;
    solid.extent = {r.y0, r.y1, r.x0, r.x1};
  }
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 16), even_axis(0.4, 16));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const double speed = 0.2; // towards +x
  const State state = state_of(
      mesh, [=](double, double y) { return speed * y; }, constant(300.0));

  const std::vector<GapFlow> gaps = gap_flows(section, problem, state);
  REQUIRE(gaps.size() == 1);
  CHECK_THAT(gaps[0].net_flow_kg_per_s.value, WithinRel(-2.0 * 0.5 * speed * 0.1, rounding));
}

TEST_CASE("Flows: air that turns back in a gap is recirculation", "[flows]") {
  const Plates plates;
  // Between walls at equal psi all air that rises comes down again; with the right wall at a
  // quarter of the peak's fall, a quarter of it.
  const auto with_right_wall = [&](double right) {
    return state_of(
        plates.mesh,
        [=](double x, double) {
          return x < 0.2 ? -4.0 * std::max((x - 0.15) / 0.05, 0.0)
                         : -4.0 + (right + 4.0) * std::min((x - 0.2) / 0.05, 1.0);
        },
        constant(300.0));
  };
  const State closed = with_right_wall(0.0);
  const State leaking = with_right_wall(-3.0);
  CHECK_THAT(gap_flows(plates.section, plates.problem, closed)[0].recirculation,
             WithinRel(1.0, rounding));
  CHECK_THAT(gap_flows(plates.section, plates.problem, leaking)[0].recirculation,
             WithinRel(0.25, rounding));
  CHECK_THAT(gap_recirculation(plates.section, plates.problem, leaking), WithinRel(0.25, rounding));
}

TEST_CASE("Flows: a lone opening lets in what it lets out", "[flows]") {
  const Plates plates;
  // psi is zero at both ends of the slot and one halfway: in (towards -x) in the upper half.
  const State state = state_of(
      plates.mesh, [](double, double y) { return std::max(0.0, 1.0 - std::abs(y - 0.2) / 0.1); },
      [](double, double y) { return y < 0.2 ? 290.0 : 310.0; });

  const std::vector<OpeningFlow> openings = opening_flows(plates.section, plates.problem, state);
  REQUIRE(openings.size() == 1);
  CHECK(openings[0].name == "slot");
  CHECK_THAT(openings[0].in_kg_per_s.value, WithinRel(1.0, rounding)); // density 2, depth 0.5
  CHECK_THAT(openings[0].out_kg_per_s.value, WithinRel(1.0, rounding));
  CHECK_THAT(openings[0].in_temperature_c, WithinRel(310.0 - 273.15, rounding));
  CHECK_THAT(openings[0].out_temperature_c, WithinRel(290.0 - 273.15, rounding));
}

TEST_CASE("Flows: air enters an open side at the side's temperature", "[flows]") {
  Section section = two_plates();
  section.openings.clear();
  section.sides[west] = {SideKind::open, 295.0, 0.0};
  section.sides[east] = {SideKind::open, 295.0, 0.0};
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 16), even_axis(0.4, 16));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State state = state_of(
      mesh, [](double, double y) { return y; }, constant(320.0));

  const std::vector<OpeningFlow> openings = opening_flows(section, problem, state);
  REQUIRE(openings.size() == 2);
  CHECK(openings[0].name == "west side");
  CHECK_THAT(openings[0].in_kg_per_s.value,
             WithinRel(0.4, rounding)); // density 2, depth 0.5, 0.4 m2/s
  CHECK_THAT(openings[0].in_temperature_c, WithinRel(295.0 - 273.15, rounding));
  CHECK(openings[0].out_kg_per_s.value == 0.0);
  CHECK(std::isnan(openings[0].out_temperature_c)); // nothing leaves
  CHECK(openings[1].name == "east side");
  CHECK_THAT(openings[1].out_temperature_c, WithinRel(320.0 - 273.15, rounding));
}

TEST_CASE("Flows: the fastest air is that of a uniform flow", "[flows]") {
  const Plates plates;
  const State state = state_of(
      plates.mesh, [](double x, double) { return -0.3 * x; }, constant(300.0));
  CHECK_THAT(air_speed_max(plates.problem, state), WithinRel(0.3, rounding));
}

} // namespace tiltfin::tests
