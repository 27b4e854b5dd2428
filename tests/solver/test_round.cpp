// Bodies of revolution (Section::axis_distance): against exact solutions of heat conduction and of
// flow in a round tube, and against the plane section that is left
// far from the axis.
#include "tests/solver/fixtures.hpp"

#include <array>
#include <initializer_list>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;
using Catch::Matchers::WithinRel;

namespace {

constexpr double pi = std::numbers::pi;

/// A ring or rod of one conductivity that fills the section.
Section filled(double width, double height, double axis_distance, double conductivity) {
  Section section = turned(empty_box(width, height), axis_distance);
  section.solids = {solid({0.0, width, 0.0, height}, conductivity, 1.0)};
  return section;
}

Problem even_problem(const Section& section, int nx, int ny, const Condition& condition = {},
                     const AirProperties& air = round_air()) {
  const TensorMesh mesh =
      mesh_on(section, graded_axis(section.width, nx, 0.0), graded_axis(section.height, ny, 0.0));
  return make_problem(section, mesh, condition, air);
}

State solved_body(const Problem& problem) {
  const Unknowns unknowns = number_unknowns(problem);
  return unpack(unknowns, newton(problem, unknowns, pack(unknowns, rest_state(problem, room))));
}

/// Heat out of the north side, of the whole body [W].
double heat_north(const Section& section, const Problem& problem, const State& state) {
  double heat = 0.0;
  for (int i = 0; i < problem.mesh.x.n(); ++i) {
    heat += heat_through_y_face(problem, state, i, problem.mesh.y.n());
  }
  return heat * section.depth;
}

} // namespace

TEST_CASE("Round: a cell's faces and volume are those of its ring", "[round]") {
  Section section = turned(empty_box(0.3, 0.4), 0.1);
  const TensorMesh mesh = mesh_on(section, graded_axis(0.3, 3, 0.4), graded_axis(0.4, 5, -0.3));
  double volume = 0.0;
  double end = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    end += mesh.x_face_area(j) * section.depth;
    for (int i = 0; i < mesh.x.n(); ++i) {
      volume += mesh.volume(i, j) * section.depth;
    }
  }
  // Rounding: rings are added up.
  CHECK_THAT(end, WithinRel(pi * (0.5 * 0.5 - 0.1 * 0.1), 1e-12));
  CHECK_THAT(volume, WithinRel(0.3 * pi * (0.5 * 0.5 - 0.1 * 0.1), 1e-12));
  CHECK_THAT(mesh.y_face_area(1, 0) * section.depth,
             WithinRel(2.0 * pi * 0.1 * mesh.x.width(1), 1e-12));
  CHECK_THAT(mesh.y_face_area(1, 5) * section.depth,
             WithinRel(2.0 * pi * 0.5 * mesh.x.width(1), 1e-12));
  const TensorMesh plane = mesh_on(empty_box(0.3, 0.4), mesh.x, mesh.y);
  CHECK(plane.volume(1, 2) == mesh.x.width(1) * mesh.y.width(2)); // bit by bit
  CHECK(plane.x_face_area(2) == mesh.y.width(2));
  CHECK(plane.y_face_area(1, 2) == mesh.x.width(1));
}

TEST_CASE("Round: heat crosses a tube's wall with the logarithm of its radii", "[round]") {
  // Exact: Q = 2 pi L dT / (ln(r2 / r1) / k + 1 / (h r2)), any textbook of heat conduction.
  constexpr double k = 3.0;
  constexpr double film = 40.0;
  std::array<double, 2> error{};
  for (const int fine : {0, 1}) {
    Section section = filled(0.2, 0.15, 0.05, k);
    section.sides[south] = isothermal_side(room + 10.0);
    section.sides[north] = Side{SideKind::film, room, film};
    const Problem problem = even_problem(section, 2, fine == 0 ? 16 : 32);
    const double exact = 2.0 * pi * 0.2 * 10.0 / (std::log(0.2 / 0.05) / k + 1.0 / (film * 0.2));
    error[at(fine)] = std::abs(heat_north(section, problem, solved_body(problem)) / exact - 1.0);
  }
  CAPTURE(error[0], error[1]);
  CHECK(error[1] < 1e-3);                       // (cell / inner radius)^2 / 12 is 7e-4
  CHECK(std::log2(error[0] / error[1]) >= 1.9); // second order
}

TEST_CASE("Round: a rod that releases heat evenly is warmest by q R^2 / 4 k on its axis",
          "[round]") {
  constexpr double k = 2.0;
  constexpr double radius = 0.1;
  constexpr double power = 5.0;
  Section section = filled(0.4, radius, 0.0, k);
  section.sides[north] = isothermal_side(room);
  const Problem problem = even_problem(section, 2, 40, {0.0, 0.0, power});
  const State state = solved_body(problem);
  CHECK_THAT(heat_north(section, problem, state), WithinRel(power, 1e-10)); // Newton's rest
  const double release = power / (pi * radius * radius * 0.4);
  const double r = problem.mesh.y.centre(0);
  const double exact = release * (radius * radius - r * r) / (4.0 * k);
  // The half cell at the wall is off by a quarter of (cell / radius)^2, the rest is exact.
  CHECK_THAT(state.temperature[0] - room, WithinRel(exact, 1e-3));
}

TEST_CASE("Round: a link's and a solid's heat are those of the whole body", "[round]") {
  Section section = turned(empty_box(0.3, 0.2), 0.05);
  section.solids = {solid({0.0, 0.1, 0.0, 0.2}, 1e6, 0.25), solid({0.2, 0.3, 0.0, 0.2}, 1e6, 0.75)};
  section.sides[west] = isothermal_side(room);
  section.links = {{"rod", 0, {0.0, 0.1, 0.0, 0.2}, 1, {0.2, 0.3, 0.1, 0.2}, 5.0 / section.depth}};
  section.solids[0].name = "a";
  AirProperties vacuum = round_air();
  vacuum.conductivity = 1e-9;
  const Problem problem = even_problem(section, 6, 8, {0.0, 0.0, 40.0}, vacuum);
  const State state = solved_body(problem);
  CHECK_THAT(state.link_heat[0] * section.depth,
             WithinRel(-30.0, 1e-6)); // to a; the air lets 1e-7 pass
  const double warm = state.temperature[at(problem.mesh.cell(5, 4))];
  CHECK_THAT(warm - room, WithinRel(30.0 / 5.0, 1e-3)); // the metal's own drop is 1e-4 of it
}

namespace {

/// Air all of one temperature in an upright tube, lighter than the room's: developed flow.
struct Tube {
  Section section;
  Problem problem;
  State state;
  double exact_mean = 0.0;
};

Tube tube_with(int n) {
  constexpr double radius = 0.5;
  Tube tube;
  tube.section = turned(empty_box(2.0, radius), 0.0);
  tube.section.sides[north] = isothermal_side(room + 1.0);
  for (const SideName end : {west, east}) {
    tube.section.sides[end] = Side{SideKind::open, room + 1.0};
  }
  const AirProperties air = round_air();
  constexpr double gravity = 1e-3; // Re 1e-4: the flow is developed from the first cell on
  tube.problem = even_problem(tube.section, 12, n, {-gravity, 0.0, 0.0}, air);
  tube.state = solved_body(tube.problem);
  tube.exact_mean = air.density * air.expansion * gravity * radius * radius / (8.0 * air.viscosity);
  return tube;
}

double mean_speed(const Tube& tube) {
  const TensorMesh& mesh = tube.problem.mesh;
  const double flow =
      tube.state.psi[at(mesh.node(6, mesh.y.n()))] - tube.state.psi[at(mesh.node(6, 0))];
  return flow * tube.section.depth / (pi * mesh.y.length() * mesh.y.length());
}

} // namespace

TEST_CASE("Round: a tube's developed flow is Hagen and Poiseuille's", "[round]") {
  // Exact: mean = dp/dx R^2 / (8 mu), on the axis twice that.
  const Tube coarse = tube_with(12);
  const Tube fine = tube_with(24);
  const auto error = [](const Tube& tube) { return mean_speed(tube) / tube.exact_mean - 1.0; };
  CAPTURE(error(coarse), error(fine));
  // By hand: fluxes between cells are exact for a parabola, the half cell at the wall makes all
  // speeds too high by (cell / radius)^2 / 2 of the mean, and the midpoint rule their sum by as
  // much again. What is left is the convection.
  CHECK_THAT(error(fine), WithinRel(1.0 / (24.0 * 24.0), 0.01));
  CHECK(std::log2(error(coarse) / error(fine)) >= 1.9);
  const std::vector<double> u = velocity_x(fine.problem.mesh, fine.state);
  const double r = fine.problem.mesh.y.centre(0) / 0.5;
  CHECK_THAT(u[at(fine.problem.face_x(6, 0))],
             WithinRel(2.0 * fine.exact_mean * (1.0 - r * r), 2e-3)); // twice the mean's allowance
}

TEST_CASE("Round: developed air in an evenly heated tube takes heat with Nu = 48 / 11", "[round]") {
  // Exact for a parabola, conduction along the tube included: any textbook of convection.
  constexpr double warm = 1000.0; // the air's lightness hardly changes on the way
  Section section = turned(empty_box(8.0, 0.6), 0.0);
  section.solids = {solid({0.0, 8.0, 0.5, 0.6}, 1e6, 1.0)};
  section.solids[0].conductivity_x = 1e-9;
  for (const SideName end : {west, east}) {
    section.sides[end] = Side{SideKind::open, room + warm};
  }
  // Peclet number 20 at the end; on the way the air gathers speed before it is heated.
  Problem problem = even_problem(section, 32, 36);
  const Unknowns unknowns = number_unknowns(problem);
  State state = rest_state(problem, room + warm);
  for (const auto& [gravity, power] :
       {std::pair{0.02, 0.0}, {0.1, 0.0}, {0.25, 0.0}, {0.45, 0.0}, {0.45, 110.0}}) {
    problem = even_problem(section, 32, 36, {-gravity, 0.0, power});
    state = unpack(unknowns, newton(problem, unknowns, pack(unknowns, state)));
  }
  const TensorMesh& mesh = problem.mesh;
  double flow = 0.0;
  double carried_heat = 0.0;
  constexpr int i = 24; // 6 diameters on; 0.05 Re and 0.05 Pe, 1.4 and 1, are the ways to develop
  for (int j = 0; j < 30; ++j) {
    const double part = state.psi[at(mesh.node(i, j + 1))] - state.psi[at(mesh.node(i, j))] +
                        state.psi[at(mesh.node(i + 1, j + 1))] - state.psi[at(mesh.node(i + 1, j))];
    flow += part;
    carried_heat += part * state.temperature[at(mesh.cell(i, j))];
  }
  const double flux = 110.0 / (pi * 8.0);
  const double nusselt = flux / (state.temperature[at(mesh.cell(i, 30))] - carried_heat / flow);
  CHECK_THAT(nusselt, WithinRel(48.0 / 11.0, 0.01)); // a few (cell / radius)^2 of 1e-3
}

TEST_CASE("Round: a warm disc in still air gives off 8 k a dT", "[round]") {
  // Exact for a thin isothermal disc of radius a in endless air: any textbook of conduction. Half
  // of it, below a symmetry side, in closed space of 20 and 40 radii: what the walls add falls with
  // their distance.
  constexpr double radius = 0.1;
  const auto heat = [](double far) {
    Section section = turned(empty_box(far, far), 0.0);
    section.sides[west] = Side{SideKind::symmetry, room};
    section.sides[east] = isothermal_side(room);
    section.sides[north] = isothermal_side(room);
    section.solids = {solid({0.0, 1e-3 * radius, 0.0, radius}, 1e7, 1.0)};
    Resolution resolution;
    resolution.wall_cell = 0.01 * radius;
    resolution.largest_cell = 5.0 * radius;
    const TensorMesh mesh = make_mesh(section, resolution);
    const Problem problem = make_problem(section, mesh, {0.0, 0.0, 1.0}, round_air());
    return 1.0 / (solved_body(problem).temperature[0] - room);
  };
  const double endless = 2.0 * heat(40.0 * radius) - heat(20.0 * radius);
  // The disc's thickness adds 0.3 %, the cells at its edge some (cell / radius) of 1 %.
  CHECK_THAT(endless, WithinRel(4.0 * radius, 0.02));
}

TEST_CASE("Round: fins like spokes have the efficiency of straight fins", "[round]") {
  // Exact: tanh(m L) / (m L), m^2 = 2 h / (k t), of a straight fin of constant thickness with an
  // insulated tip, any textbook; what it stands on, here a core, does not matter. The gap's air is
  // held at one temperature and its gap at one width, which is what a constant h is.
  constexpr double core = 0.1;
  constexpr double length = 0.06;
  constexpr double thickness = 0.001;
  constexpr double gap = 0.004;
  for (const double conductivity : {200.0, 8.0}) {
    CAPTURE(conductivity);
    Section section = turned(empty_box(0.03, core + length), 0.0);
    section.sides[north] = isothermal_side(room);
    section.solids = {solid({0.0, 0.03, 0.0, core}, 1e5, 1.0)};
    FinMedium fins;
    fins.extent = {0.0, 0.03, core, core + length};
    fins.fin_thickness = thickness;
    fins.gap = 0.01;
    fins.gap_growth = (fins.gap + thickness) / (core + 0.5 * length);
    fins.conductivity = conductivity;
    section.media = {fins};
    Resolution resolution;
    resolution.cells_per_medium = 60;
    const TensorMesh mesh = make_mesh(section, resolution);
    AirProperties air = round_air();
    air.conductivity = 0.03;
    Problem problem = make_problem(section, mesh, {0.0, 0.0, 1.0}, air);
    for (MediumCell& cell : problem.media) {
      cell.gap = gap;
    }
    const int root = face_at(mesh.y, core);
    for (int j = 0; j <= mesh.y.n(); ++j) {
      for (int i = 0; i < mesh.x.n(); ++i) {
        const std::size_t face = at(problem.face_y(i, j));
        problem.conductance_y[face] *= j == root ? 1e-9 : (j > root ? 1e6 : 1.0);
        problem.fin_conductance_y[face] *= j == mesh.y.n() ? 1e-9 : 1.0;
      }
    }
    const State state = solved_body(problem);
    const double hot = state.temperature[0] - room;
    double mean = 0.0;
    double wetted = 0.0;
    for (std::size_t k = 0; k < problem.media.size(); ++k) {
      mean += problem.media[k].wetted * (state.fin_temperature[k] - room);
      wetted += problem.media[k].wetted;
    }
    const double h = 7.541 * air.conductivity / (2.0 * gap); // of developed air, at rest
    const double ml = std::sqrt(2.0 * h / (conductivity * thickness)) * length;
    CAPTURE(ml);
    // A hundredth of the fin's length per cell and 7.541 to its last digit: (m dx)^2 / 12 and
    // shares of metal right to (cell / radius)^2 / 4 are 1e-4, what is left of the air's rise less.
    CHECK_THAT(mean / (wetted * hot), WithinRel(std::tanh(ml) / ml, 1e-3));
  }
}

TEST_CASE("Round: stratified air on the axis of gravity stays at rest", "[round]") {
  Section section = turned(heated_box(1.0, 0.7), 0.0);
  section.sides[north].kind = SideKind::insulated;
  const Problem problem = even_problem(section, 8, 6, {-1e5, 0.0, 0.0});
  const Unknowns unknowns = number_unknowns(problem);
  State state = rest_state(problem, room);
  for (int j = 0; j < 6; ++j) {
    for (int i = 0; i < 8; ++i) {
      state.temperature[at(problem.mesh.cell(i, j))] = room + 0.5 - problem.mesh.x.centre(i);
    }
  }
  // 1e5 Pa/m over cells of 1/8: rounding of 1e4.
  CHECK(largest(residual(problem, unknowns, pack(unknowns, state))) < 1e-8);
}

TEST_CASE("Round: far from the axis every term is that of the plane section", "[round]") {
  Section plane = furnished_box();
  plane.media = {{"fins", {0.5, 0.62, 0.05, 0.2}, 0.02, 0.005, 40.0}};
  plane.media[0].heat_share = 0.2;
  plane.sides[north] = Side{SideKind::open, room};
  plane.sides[south] = Side{SideKind::film, room, 7.0};
  plane.grilles = {{"sheet", {0.8, 0.8, 0.1, 0.4}, 3.0, 2.0}};
  constexpr double far = 1e7; // times the section's size: what is left of the curvature
  plane.media[0].gap_growth = (0.02 + 0.005) / (far + 0.125);
  Section round = plane;
  round.axis_distance = far;
  round.depth = 2.0 * pi * far;
  plane.depth = round.depth; // heat per metre is the same
  const Problem of_plane = rough_problem(plane, {-20.0, 0.0, 3.0});
  const Problem of_round = rough_problem(round, {-20.0, 0.0, 3.0});
  const Unknowns unknowns = number_unknowns(of_plane);
  std::vector<double> z = random_vector(unknowns.n, 7);
  for (const int k : unknowns.temperature) {
    z[at(k)] += room;
  }
  const TimeTerm time{3.0, random_vector(unknowns.n, 8)};
  const std::vector<double> a = residual(of_plane, unknowns, z, time);
  const std::vector<double> b = residual(of_round, unknowns, z, time);
  CHECK(largest_difference(a, b) < 1e-5 * largest(a)); // a hundred times the curvature
  CHECK(largest_difference(a, b) > 0.0);
}

TEST_CASE("Round: the Jacobian is the residual's derivative", "[round]") {
  Section section = turned(furnished_box(), 0.0);
  section.media = {{"fins", {0.5, 0.62, 0.05, 0.2}, 0.02, 0.005, 40.0}};
  section.media[0].gap_growth = (0.02 + 0.005) / 0.125;
  section.sides[north] = Side{SideKind::open, room};
  const Problem problem = rough_problem(section, {-20.0, 0.0, 3.0});
  const Unknowns unknowns = number_unknowns(problem);
  std::vector<double> z = random_vector(unknowns.n, 11);
  for (const int k : unknowns.temperature) {
    z[at(k)] += room;
  }
  std::vector<double> direction = random_vector(unknowns.n, 12);
  for (const int k : unknowns.air_age) { // of developing flow, where nothing is steep
    z[at(k)] = 1e-3 * (1.0 + 0.5 * z[at(k)]);
    direction[at(k)] *= 1e-3;
  }
  Jacobian jacobian = make_jacobian(problem, unknowns);
  const TimeTerm time{3.0, {}};
  (void)refill(problem, unknowns, z, time, jacobian);
  std::vector<double> slope(at(unknowns.n), 0.0);
  for (int column = 0; column < unknowns.n; ++column) {
    for (int k = jacobian.matrix.column_start[at(column)];
         k < jacobian.matrix.column_start[at(column) + 1]; ++k) {
      slope[at(jacobian.matrix.row[at(k)])] += jacobian.matrix.value[at(k)] * direction[at(column)];
    }
  }
  const auto moved = [&](double h) {
    std::vector<double> there = z;
    for (std::size_t k = 0; k < z.size(); ++k) {
      there[k] += h * direction[k];
    }
    return residual(problem, unknowns, there, time);
  };
  constexpr double h = 1e-5;
  const std::vector<double> ahead = moved(h);
  const std::vector<double> behind = moved(-h);
  double worst = 0.0;
  for (std::size_t k = 0; k < slope.size(); ++k) {
    worst = std::max(worst, std::abs((ahead[k] - behind[k]) / (2.0 * h) - slope[k]));
  }
  CHECK(worst < 1e-6 * largest(slope)); // central differences: h^2 and rounding over h
}

TEST_CASE("Round: what a body of revolution cannot be is refused", "[round]") {
  Section section = empty_box();
  section.axis_distance = 0.0;
  CHECK_THROWS_WITH(check(section), ContainsSubstring("must be a symmetry"));
  section.axis_distance = -0.1;
  CHECK_THROWS_WITH(check(section), ContainsSubstring("must not be negative"));
  section.axis_distance = 0.1;
  CHECK_NOTHROW(check(section));
  section.media = {{"fins", {0.2, 0.4, 0.2, 0.4}, 0.02, 0.005, 40.0}};
  CHECK_THROWS_WITH(check(section), ContainsSubstring("like spokes"));
  section.media[0].gap_growth = 0.025 / 0.4;
  CHECK_NOTHROW(check(section));
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, 4, 0.0), graded_axis(1.0, 4, 0.0));
  CHECK_NOTHROW(make_problem(section, mesh, tilted(-90.0, 1e3), round_air()));
  CHECK_THROWS_AS(make_problem(section, mesh, tilted(80.0, 1e3), round_air()),
                  std::invalid_argument);
}
