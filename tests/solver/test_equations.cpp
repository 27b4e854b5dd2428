#include "solver/equations.hpp"
#include "tests/solver/fixtures.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

Section open_sides(Section section) {
  for (Side& side : section.sides) {
    side.kind = SideKind::open;
  }
  return section;
}

/// Steady temperatures of a section without flow, solved directly.
State conduct(const Problem& problem) {
  const Unknowns unknowns = number_unknowns(problem);
  return unpack(unknowns, newton(problem, unknowns, pack(unknowns, rest_state(problem, room))));
}

constexpr double exact = 1e-12; // relative; rounding of 300 K against a difference of some kelvin

} // namespace

TEST_CASE("Equations: layers in series carry the exact heat", "[equations]") {
  Section section = heated_box(1.0, 0.4);
  section.sides[west].temperature = 310.0;
  section.sides[east].temperature = 300.0;
  section.solids = {solid({0.0, 0.25, 0.0, 0.4}, 0.7), solid({0.25, 1.0, 0.0, 0.4}, 13.0)};
  double resistance = (0.25 / 0.7 + 0.75 / 13.0) / 0.4;
  SECTION("perfect contact") {}
  SECTION("a contact resistance adds") {
    section.contacts = {{0, 1, 0.3}};
    resistance += 0.3 / 0.4;
  }
  SECTION("a film on the outside adds") {
    section.sides[east].kind = SideKind::film;
    section.sides[east].film = 2.5;
    resistance += 1.0 / 2.5 / 0.4;
  }
  const Problem problem = rough_problem(section, {});
  const State state = conduct(problem);
  CHECK_THAT(heat_out(problem, state, east), WithinRel(10.0 / resistance, exact));
  CHECK_THAT(heat_out(problem, state, west), WithinRel(-10.0 / resistance, exact));
  CHECK(heat_out(problem, state, south) == 0.0);
  CHECK(heat_out(problem, state, north) == 0.0);
}

TEST_CASE("Equations: a link carries conductance times the difference of its patches",
          "[equations]") {
  // Two solids whose only path is the link: power goes through it.
  Section section = empty_box(1.0, 0.5);
  section.solids = {solid({0.0, 0.4, 0.0, 0.5}, 5.0, 1.0), solid({0.4, 1.0, 0.0, 0.5}, 5.0)};
  section.contacts = {{0, 1, 1e30}};
  section.links = {{"rod", 0, {0.0, 0.2, 0.0, 0.3}, 1, {0.8, 1.0, 0.2, 0.5}, 2.0}};
  section.sides[east] = isothermal_side(room);
  const Problem problem = rough_problem(section, {0.0, 0.0, 6.0});
  const State state = conduct(problem);
  CHECK_THAT(state.link_heat[0], WithinRel(6.0, exact));
  const auto mean = [&](const std::vector<int>& cells, const std::vector<double>& weights) {
    double sum = 0.0;
    for (std::size_t k = 0; k < cells.size(); ++k) {
      sum += weights[k] * state.temperature[at(cells[k])];
    }
    return sum;
  };
  const LinkCells& link = problem.links[0];
  CHECK_THAT(mean(link.cells_a, link.weights_a) - mean(link.cells_b, link.weights_b),
             WithinRel(3.0, exact));
  CHECK_THAT(heat_out(problem, state, east), WithinRel(6.0, exact));
}

TEST_CASE("Equations: a linear temperature is reproduced on any grading", "[equations]") {
  Section section = heated_box();
  section.solids = {solid({0.0, 1.0, 0.0, 1.0}, 3.0)};
  for (const double strength : {0.0, 0.6, -0.8}) {
    const TensorMesh mesh =
        mesh_on(section, graded_axis(1.0, 17, strength), graded_axis(1.0, 9, -strength));
    const Problem problem = make_problem(section, mesh, {}, round_air());
    const State state = conduct(problem);
    double worst = 0.0;
    for (int k = 0; k < mesh.n_cells(); ++k) {
      const double linear = room + 0.5 - mesh.x.centre(k % mesh.x.n());
      worst = std::max(worst, std::abs(state.temperature[at(k)] - linear));
    }
    CHECK(worst < 300.0 * 1e-14); // rounding of numbers near 300, grown by the elimination
  }
}

TEST_CASE("Equations: a uniform temperature is preserved by any flow", "[equations]") {
  // In a closed box with solids, and in an open one whose room has the same temperature.
  for (const bool open : {false, true}) {
    Section section = furnished_box();
    section.sides[west].temperature = 311.0;
    section.sides[east].temperature = 311.0;
    if (open) {
      section = open_sides(section);
      for (Side& side : section.sides) {
        side.temperature = 311.0;
      }
    }
    const Problem problem = rough_problem(section, tilted(37.0, 1e4));
    const Unknowns unknowns = number_unknowns(problem);
    std::vector<double> z = random_vector(unknowns.n, 3);
    for (double& value : z) {
      value *= 30.0; // cell Peclet numbers on both sides of the blend
    }
    State state = unpack(unknowns, z);
    std::fill(state.temperature.begin(), state.temperature.end(), 311.0);
    state.link_heat = {0.0};
    const std::vector<double> f = residual(problem, unknowns, pack(unknowns, state));
    // Flows up to 60 times 11 K, some ten roundings.
    CHECK(largest(temperature_rows(unknowns, f)) < 60.0 * 11.0 * 1e-14);
  }
}

TEST_CASE("Equations: convection passes from central to upwind with the Peclet number",
          "[equations]") {
  const auto value = [](double flow) { return carried(flow, 1.0, 0.0, 0.3, 1.0, 20.0); };
  CHECK_THAT(value(1e-3), WithinAbs(0.3, 1e-12));               // share of upwind (5e-5)^4 < 1e-17
  CHECK_THAT(value(20.0), WithinAbs(0.5 * (0.3 + 1.0), 1e-15)); // half upwind
  CHECK_THAT(value(-20.0), WithinAbs(0.5 * (0.3 + 0.0), 1e-15));
  CHECK_THAT(value(2e3), WithinAbs(1.0, 1e-7)); // 1 - share = 100^-4
  CHECK_THAT(value(-2e3), WithinAbs(0.0, 1e-7));
}

TEST_CASE("Equations: the rows of psi are the circulation of the faces' momentum", "[equations]") {
  for (const bool open : {false, true}) {
    const Section section = open ? open_sides(furnished_box()) : furnished_box();
    const Problem problem = rough_problem(section, tilted(37.0, 1e4));
    const Unknowns unknowns = number_unknowns(problem);
    const std::vector<double> z = random_vector(unknowns.n, 4);
    const State state = unpack(unknowns, z);
    double size = 0.0;
    const std::vector<double> rows =
        circulation(problem, unknowns, [&](const MomentumFace&, int i, int j, bool is_x) {
          const double value = is_x ? momentum_of_x_face(problem, unknowns, state, i, j)
                                    : momentum_of_y_face(problem, unknowns, state, i, j);
          size = std::max(size, std::abs(value));
          return value;
        });
    const std::vector<double> f = residual(problem, unknowns, z);
    // An island's row adds some hundred faces.
    CHECK(largest_difference(psi_rows(unknowns, rows), psi_rows(unknowns, f)) < 1e-13 * size);
  }
}

TEST_CASE("Equations: the gradient of any pressure leaves the rows of psi unchanged",
          "[equations]") {
  for (const bool open : {false, true}) {
    const Section section = open ? open_sides(furnished_box()) : furnished_box();
    const Problem problem = rough_problem(section, {});
    const Unknowns unknowns = number_unknowns(problem);
    const std::vector<double> p = random_vector(problem.mesh.n_cells(), 9);
    const auto outside_is_zero = [&](int cell) { return cell < 0 ? 0.0 : p[at(cell)]; };
    const std::vector<double> rows =
        circulation(problem, unknowns, [&](const MomentumFace& face, int, int, bool) {
          return outside_is_zero(face.cell[1]) - outside_is_zero(face.cell[0]);
        });
    CHECK(largest(rows) < 1e-13); // an island adds some hundred numbers of order one
  }
}

TEST_CASE("Equations: the reference temperature is immaterial in a closed box", "[equations]") {
  // A change of it adds a uniform body force, the gradient of a linear pressure.
  Problem problem = rough_problem(furnished_box(), tilted(37.0, 1e4));
  const Unknowns unknowns = number_unknowns(problem);
  State state = unpack(unknowns, random_vector(unknowns.n, 6));
  for (double& temperature : state.temperature) {
    temperature += room;
  }
  const std::vector<double> z = pack(unknowns, state);
  const std::vector<double> before = residual(problem, unknowns, z);
  problem.air.reference_temperature -= 20.0;
  const std::vector<double> after = residual(problem, unknowns, z);
  const double force = 7100.0 * 20.0 * 0.1; // gravity, change, a path: what cancels [Pa]
  CHECK(largest_difference(psi_rows(unknowns, before), psi_rows(unknowns, after)) < 1e-13 * force);
  // Heat is counted from another zero, but mass balance cancels that in every cell.
  CHECK(largest_difference(temperature_rows(unknowns, before), temperature_rows(unknowns, after)) <
        20.0 * 1e-13);
}

TEST_CASE("Equations: air stratified along gravity rests at any tilt", "[equations]") {
  const Section section = furnished_box();
  for (const double tilt : {0.0, 37.0, 90.0, 151.0, 180.0, -64.0}) {
    CAPTURE(tilt);
    const Condition condition = tilted(tilt, 1e6);
    const Problem problem = rough_problem(section, condition);
    const Unknowns unknowns = number_unknowns(problem);
    State state = rest_state(problem, room);
    const double gravity = std::hypot(condition.gravity_x, condition.gravity_y);
    for (int k = 0; k < problem.mesh.n_cells(); ++k) {
      const double height = (condition.gravity_x * problem.mesh.x.centre(k % problem.mesh.x.n()) +
                             condition.gravity_y * problem.mesh.y.centre(k / problem.mesh.x.n())) /
                            gravity;
      state.temperature[at(k)] += 5.0 * height;
    }
    const std::vector<double> f = residual(problem, unknowns, pack(unknowns, state));
    // Rounding of 300 K times gravity along a path of the size of the box.
    CHECK(largest(psi_rows(unknowns, f)) < gravity * 300.0 * 1e-14);
  }
}

TEST_CASE("Equations: air as warm as the room rests beside open sides at any tilt", "[equations]") {
  const Section section = open_sides(furnished_box());
  for (const double tilt : {0.0, 37.0, 151.0, -64.0}) {
    const Problem problem = rough_problem(section, tilted(tilt, 1e6));
    const Unknowns unknowns = number_unknowns(problem);
    const std::vector<double> f =
        residual(problem, unknowns, pack(unknowns, rest_state(problem, room)));
    CHECK(largest(psi_rows(unknowns, f)) == 0.0); // every term is zero
    CHECK(largest(temperature_rows(unknowns, f)) == 0.0);
  }
}

TEST_CASE("Equations: a chimney without friction runs at the speed of its draft", "[equations]") {
  // Symmetry south and north, open west and east, warm air everywhere and outside the inlet:
  // a uniform velocity with rho u^2 / 2 = rho beta dT g L is exact.
  Section section = empty_box(1.0, 0.5);
  const double excess = 2.0;
  for (Side& side : section.sides) {
    side = {SideKind::symmetry, room + excess, 0.0};
  }
  section.sides[west].kind = SideKind::open;
  section.sides[east].kind = SideKind::open;
  const double gravity = 25.0;
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, 14, 0.5), graded_axis(0.5, 9, -0.4));
  for (const double direction : {1.0, -1.0}) {
    const Condition condition{-direction * gravity, 0.0, 0.0};
    const Problem problem = make_problem(section, mesh, condition, round_air());
    const Unknowns unknowns = number_unknowns(problem);
    const double speed = direction * std::sqrt(2.0 * excess * gravity);
    State state = rest_state(problem, room + excess);
    for (int j = 0; j <= mesh.y.n(); ++j) {
      for (int i = 0; i <= mesh.x.n(); ++i) {
        state.psi[at(mesh.node(i, j))] = speed * mesh.y.at(j);
      }
    }
    const std::vector<double> z = pack(unknowns, state);
    // Terms of order rho u^2 = 100 and of the flow times 2 K, over small cells: 1e-13 relative.
    CHECK(largest(residual(problem, unknowns, z)) < 1e-11);
    // Newton's method finds it again from three quarters of the speed.
    State slower = state;
    for (double& psi : slower.psi) {
      psi *= 0.75;
    }
    const State found = unpack(unknowns, newton(problem, unknowns, pack(unknowns, slower)));
    const std::vector<double> u = velocity_x(mesh, found);
    for (const double velocity : u) {
      CHECK_THAT(velocity, WithinRel(speed, 1e-10)); // LU of a small, well scaled system
    }
  }
}
