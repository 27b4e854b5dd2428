#include "post/numbers/balances.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

// Sums of a few dozen terms of one size: rounding stays far below this.
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

TEST_CASE("Balances: radiation crosses still air and is counted apart", "[balances]") {
  // Two walls of emissivity 1 and 0.5 with reflecting ones between their ends, each one zone. By
  // hand: resistance of the space 2 / (1 + F), F = sqrt(1 + h^2) - h with h = width / height, then
  // that of the grey wall, 1 / 0.5 - 1.
  Section section = slab();
  section.sides[west].emissivity = 1.0;
  section.sides[east].emissivity = 0.5;
  section.radiant_zone = 1.0;
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 4), even_axis(0.3, 3));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  State state =
      state_of(mesh, constant(0.0), [](double x, double) { return 310.0 - 10.0 * x / 0.4; });
  const double h = 4.0 / 3.0;
  const double f = std::sqrt(1.0 + h * h) - h;
  const auto black = [](double t) { return stefan_boltzmann * t * t * t * t; };
  const double exact = 0.3 * (black(310.0) - black(300.0)) / (2.0 / (1.0 + f) + 1.0);
  // What falls onto west and east then follows from their emission and net heat.
  for (int k = 0; k < problem.radiation->n(); ++k) {
    const SideName side = problem.radiation->zones[k].side;
    state.radiosity.push_back(0.0); // not read here
    state.irradiation.push_back(side == west ? black(310.0) - exact / 0.3
                                             : black(300.0) + exact / 0.3 / 0.5);
  }

  const SurfaceRadiation radiation = surface_radiation(section, problem, state);
  CHECK_THAT(radiation.sides[west], WithinRel(-exact, 1e-11));
  CHECK_THAT(radiation.sides[east], WithinRel(exact, 1e-11));
  const auto sides = side_heat(problem, state);
  CHECK_THAT(sides[west], WithinRel(-exact - 3.75, 1e-11)); // Fourier's part as above
  CHECK_THAT(sides[east], WithinRel(exact + 3.75, 1e-11));
  const Balance balance = heat_balance(problem, state);
  CHECK_THAT(balance.turnover, WithinRel(exact + 3.75, 1e-11));
  CHECK_THAT(balance.error, WithinAbs(0.0, 1e-11));
}

TEST_CASE("Balances: radiation takes its heat from both sides of a surface", "[balances]") {
  // A block in an isothermal box: what leaves it is what would be conducted without radiation, less
  // what radiation cools the surface by, plus the radiation. The heat to the air is then the air's
  // own conductance times the rise of the surface over the air.
  Section section = slab();
  section.sides[south] = {SideKind::isothermal, 300.0, 0.0, 1.0};
  section.sides[north] = section.sides[south];
  section.sides[west] = section.sides[south];
  section.sides[east] = section.sides[south];
  section.solids = {solid_of("block", {0.1, 0.3, 0.1, 0.2}, Role::fin, 2.0)};
  section.solids[0].emissivity = 0.8;
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 8), even_axis(0.3, 6));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  State state = state_of(mesh, constant(0.0), [&](double x, double y) {
    return section.solids[0].extent.contains(x, y) ? 340.0 : 300.0;
  });
  const double black = stefan_boltzmann * std::pow(300.0, 4);
  state.radiosity.assign(problem.radiation->zones.size(), black);
  state.irradiation = state.radiosity;
  // Half cells of 25 mm: 2 W/(m K) in the block, 0.5 in the air. By bisection for the surface.
  double low = 300.0;
  double high = 340.0;
  for (int k = 0; k < 100; ++k) {
    const double t = 0.5 * (low + high);
    const double loss =
        0.5 / 0.025 * (t - 300.0) + 0.8 * (stefan_boltzmann * std::pow(t, 4) - black);
    (2.0 / 0.025 * (340.0 - t) > loss ? low : high) = t;
  }
  const double perimeter = 0.6;
  const double to_air = perimeter * 0.5 / 0.025 * (low - 300.0);
  const double radiated = perimeter * 0.8 * (stefan_boltzmann * std::pow(low, 4) - black);
  CHECK_THAT(solid_heat(section, problem, state)[0], WithinRel(to_air, 1e-11));
  CHECK_THAT(surface_radiation(section, problem, state).solids[0], WithinRel(radiated, 1e-11));
}

} // namespace tiltfin::tests
