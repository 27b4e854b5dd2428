#include "post/balances.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

// Sums of a few dozen terms of one size: rounding stays far below this.
constexpr double rounding = 1e-12;

/// 0.4 m wide, 0.3 m high, 310 K at the west and 300 K at the east, insulated otherwise.
Section slab() {
  Section section;
  section.width = 0.4;
  section.height = 0.3;
  section.sides[west] = {SideKind::isothermal, 310.0, 0.0};
  section.sides[east] = {SideKind::isothermal, 300.0, 0.0};
  return section;
}

} // namespace

TEST_CASE("Balances: still air between two walls carries what Fourier's law says", "[balances]") {
  const Section section = slab();
  const TensorMesh mesh =
      mesh_of(section, axis_of({0.0, 0.05, 0.12, 0.3, 0.4}), axis_of({0.0, 0.1, 0.3}));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State state =
      state_of(mesh, constant(0.0), [](double x, double) { return 310.0 - 10.0 * x / 0.4; });
  // Fourier 1822: conductivity times height times difference over distance, 0.5 * 0.3 * 10 / 0.4.
  const double exact = 3.75;

  const auto sides = side_heat(problem, state);
  CHECK_THAT(sides[west], WithinRel(-exact, rounding));
  CHECK_THAT(sides[east], WithinRel(exact, rounding));
  CHECK_THAT(sides[south], WithinAbs(0.0, rounding));
  CHECK_THAT(sides[north], WithinAbs(0.0, rounding));

  const Balance balance = heat_balance(problem, state);
  CHECK(balance.released == 0.0);
  CHECK_THAT(balance.lost, WithinAbs(0.0, rounding));
  CHECK_THAT(balance.turnover, WithinRel(exact, rounding));
  CHECK_THAT(balance.error, WithinAbs(0.0, rounding));
}

TEST_CASE("Balances: heat released and not yet lost is an error of one", "[balances]") {
  Section section = slab();
  section.depth = 2.0;
  section.sides[west].temperature = 300.0;
  section.solids = {solid_of("block", {0.1, 0.2, 0.1, 0.2}, Role::source)};
  section.solids[0].heat_share = 1.0;
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 8), even_axis(0.3, 6));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 12.0}, hand_air());
  const State state = state_of(mesh, constant(0.0), constant(300.0));

  const Balance balance = heat_balance(problem, state);
  CHECK_THAT(balance.released, WithinRel(6.0, rounding)); // 12 W over 2 m of depth
  CHECK_THAT(balance.turnover, WithinRel(6.0, rounding));
  CHECK_THAT(balance.error, WithinRel(1.0, rounding));
}

TEST_CASE("Balances: a solid gives heat to the air through half a cell either side", "[balances]") {
  Section section = slab();
  section.solids = {solid_of("hot", {0.1, 0.2, 0.1, 0.2}, Role::other, 4.0),
                    solid_of("beside", {0.2, 0.3, 0.1, 0.2}, Role::other, 4.0)};
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 8), even_axis(0.3, 6));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State state = state_of(mesh, constant(0.0), [&](double x, double y) {
    return section.solids[0].extent.contains(x, y) ? 330.0 : 300.0;
  });
  // Resistances in series of half a 0.05 m cell of solid and of air, over the three edges of
  // 0.1 m that face air; the fourth edge faces the other solid and does not count.
  const double expected = 3 * 0.1 * 30.0 / (0.025 / 4.0 + 0.025 / 0.5);

  const std::vector<double> heat = solid_heat(section, problem, state);
  REQUIRE(heat.size() == 2);
  CHECK_THAT(heat[0], WithinRel(expected, rounding));
  CHECK_THAT(heat[1], WithinAbs(0.0, rounding));
}

TEST_CASE("Balances: heat carried out of an open side counts from the air that comes in",
          "[balances]") {
  Section section = slab();
  section.sides[west] = {SideKind::open, 305.0, 0.0};
  section.sides[east] = {SideKind::open, 305.0, 0.0};
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 8), even_axis(0.3, 6));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const double speed = 0.7;
  const State state = state_of(
      mesh, [=](double, double y) { return speed * y; }, constant(320.0));

  const auto sides = side_heat(problem, state);
  CHECK_THAT(sides[west], WithinAbs(0.0, rounding));
  // rho cp times flow times excess: 2 * (0.7 * 0.3) * (320 - 305).
  CHECK_THAT(sides[east], WithinRel(6.3, rounding));
}

TEST_CASE("Balances: any psi conserves mass to rounding", "[balances]") {
  const Section section = slab();
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 16), even_axis(0.3, 12));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State wild = state_of(
      mesh, [](double x, double y) { return std::sin(37.0 * x + 11.0) * std::cos(91.0 * y * x); },
      constant(300.0));
  CHECK(mass_error(problem, wild) < 1e-14); // a few units in the last place of the face flows
  CHECK(mass_error(problem, state_of(mesh, constant(0.5), constant(300.0))) == 0.0);
}

TEST_CASE("Balances: a solid's mean temperature is weighted by area", "[balances]") {
  Section section = slab();
  section.solids = {solid_of("block", {0.1, 0.4, 0.0, 0.3}, Role::base)};
  const TensorMesh mesh = mesh_of(section, axis_of({0.0, 0.1, 0.2, 0.4}), axis_of({0.0, 0.3}));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  const State state =
      state_of(mesh, constant(0.0), [](double x, double) { return x < 0.2 ? 330.0 : 360.0; });

  const SolidTemperature block = solid_temperature(problem, state, 0);
  CHECK_THAT(block.mean, WithinRel(350.0, rounding)); // one part at 330 K, two at 360 K
  CHECK(block.max == 360.0);
}

} // namespace tiltfin::tests
