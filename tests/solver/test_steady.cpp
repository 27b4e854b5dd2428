#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <atomic>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Fields of two solves that should be the same differ by what the solver leaves: rows are solved
/// to 1e-9 of their terms, and the inverse of the Jacobian magnifies that by a few hundred.
constexpr double solver_tolerance = 1e-6;

struct Solved {
  Problem problem;
  State state;
  SolveReport report;
};

Solved solve(Problem problem, const SteadyOptions& options = {}) {
  State state = rest_state(problem, room);
  SolveReport report = solve_steady(problem, state, options);
  return {std::move(problem), std::move(state), report};
}

Solved converge(const Section& section, const Condition& condition) {
  Solved solved = solve(rough_problem(section, condition));
  REQUIRE(solved.report.status == SolveStatus::converged);
  return solved;
}

/// The section turned by a quarter against the clock: (x, y) goes to (height - y, x).
Section turned(const Section& section) {
  Section result = section;
  result.width = section.height;
  result.height = section.width;
  const auto turn = [&](const Rectangle& r) {
    return Rectangle{section.height - r.y1, section.height - r.y0, r.x0, r.x1};
  };
  for (Solid& solid : result.solids) {
    solid.extent = turn(solid.extent);
    std::swap(solid.conductivity_x, solid.conductivity_y);
  }
  for (Link& link : result.links) {
    link.patch_a = turn(link.patch_a);
    link.patch_b = turn(link.patch_b);
  }
  result.sides[south] = section.sides[west];
  result.sides[east] = section.sides[south];
  result.sides[north] = section.sides[east];
  result.sides[west] = section.sides[north];
  return result;
}

Condition turned(const Condition& condition) {
  return {-condition.gravity_y, condition.gravity_x, condition.power};
}

/// The section seen in a mirror: x goes to width - x.
Section mirrored(const Section& section) {
  Section result = section;
  const auto mirror = [&](const Rectangle& r) {
    return Rectangle{section.width - r.x1, section.width - r.x0, r.y0, r.y1};
  };
  for (Solid& solid : result.solids) {
    solid.extent = mirror(solid.extent);
  }
  for (Link& link : result.links) {
    link.patch_a = mirror(link.patch_a);
    link.patch_b = mirror(link.patch_b);
  }
  std::swap(result.sides[west], result.sides[east]);
  return result;
}

/// Largest difference of temperature and psi, both relative to their ranges, between a state and
/// another, each cell and node of which lies where `place` says; psi changes sign by `sign`.
struct Differences {
  double temperature = 0.0;
  double psi = 0.0;
};

template <class Place>
Differences compare(const Solved& a, const Solved& b, double sign, Place place) {
  const TensorMesh& mesh = a.problem.mesh;
  REQUIRE(mesh.n_cells() == b.problem.mesh.n_cells());
  Differences differences;
  const auto psi = [&](int i, int j) { return a.state.psi[at(mesh.node(i, j))]; };
  const auto image = [&](int i, int j) {
    const auto [k, l] = place(i, j, mesh.x.n(), mesh.y.n());
    return b.state.psi[at(b.problem.mesh.node(k, l))];
  };
  double range = 0.0;
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      const double here = psi(i, j) - psi(0, 0);
      range = std::max(range, std::abs(here));
      differences.psi =
          std::max(differences.psi, std::abs(here - sign * (image(i, j) - image(0, 0))));
      if (i < mesh.x.n() && j < mesh.y.n()) {
        const auto [k, l] = place(i, j, mesh.x.n() - 1, mesh.y.n() - 1);
        const double change = a.state.temperature[at(mesh.cell(i, j))] -
                              b.state.temperature[at(b.problem.mesh.cell(k, l))];
        differences.temperature = std::max(differences.temperature, std::abs(change));
      }
    }
  }
  REQUIRE(range > 0.1); // the air moves
  differences.psi /= range;
  return differences; // temperatures range over about 1 K in these tests
}

Differences compare(const Solved& a, const Solved& b) {
  return compare(a, b, 1.0, [](int i, int j, int, int) { return std::pair{i, j}; });
}

double rest(const Section& section, const Condition& condition, double released) {
  const Solved solved = converge(section, condition);
  double leaving = 0.0;
  for (const SideName side : {west, east, south, north}) {
    leaving += heat_out(solved.problem, solved.state, side);
  }
  return leaving - released;
}

} // namespace

TEST_CASE("Steady: turning section and gravity by quarters turns the solution", "[steady]") {
  Section section = furnished_box();
  section.solids[0].conductivity_x = 7.0; // unlike along y
  section.sides[north] = {SideKind::film, room - 0.2, 2.0};
  Condition condition = tilted(37.0, 1e4, 1.0);
  const Solved original = converge(section, condition);
  Solved last = original;
  for (int quarter = 1; quarter <= 4; ++quarter) {
    CAPTURE(quarter);
    section = turned(section);
    condition = turned(condition);
    Solved next = converge(section, condition);
    const Differences differences = compare(last, next, 1.0, [](int i, int j, int, int ny) {
      return std::pair{ny - j, i};
    });
    CHECK(differences.temperature < solver_tolerance);
    CHECK(differences.psi < solver_tolerance);
    last = std::move(next);
  }
  CHECK(compare(original, last).temperature < solver_tolerance);
}

TEST_CASE("Steady: an open section turns with gravity, too", "[steady]") {
  Section section = furnished_box();
  section.sides[south] = {SideKind::open, room, 0.0};
  section.sides[north] = {SideKind::open, room, 0.0};
  section.sides[east] = {SideKind::symmetry, room, 0.0};
  const Condition condition = tilted(12.0, 3e3, 1.0);
  const Solved original = converge(section, condition);
  const Solved quarter = converge(turned(section), turned(condition));
  const Differences differences = compare(original, quarter, 1.0, [](int i, int j, int, int ny) {
    return std::pair{ny - j, i};
  });
  CHECK(differences.temperature < solver_tolerance);
  CHECK(differences.psi < solver_tolerance);
}

TEST_CASE("Steady: a mirror image gives the mirrored solution", "[steady]") {
  const Section section = furnished_box();
  const Condition condition = tilted(37.0, 1e4, 1.0);
  const Solved original = converge(section, condition);
  const Solved image = converge(mirrored(section), tilted(-37.0, 1e4, 1.0));
  const Differences differences = compare(original, image, -1.0, [](int i, int j, int nx, int) {
    return std::pair{nx - i, j};
  });
  CHECK(differences.temperature < solver_tolerance);
  CHECK(differences.psi < solver_tolerance);
}

TEST_CASE("Steady: a rectangle drawn in two parts is the same solid", "[steady]") {
  Section whole = furnished_box();
  Section parts = whole;
  parts.solids[2].extent.x1 = 0.7;
  parts.solids[2].heat_share = 0.3 * 0.08 / 0.18;
  parts.solids.push_back(solid({0.7, 0.8, 0.45, 0.6}, 3.0, 0.3 * 0.10 / 0.18));
  const Condition condition = tilted(37.0, 1e4, 1.0);
  // The mesh of the parts serves both: its lines include the seam.
  TensorMesh mesh = rough_mesh(parts);
  const Solved in_parts = solve(make_problem(parts, mesh, condition, round_air()));
  std::replace(mesh.region.begin(), mesh.region.end(), 4, 3);
  const Solved in_one = solve(make_problem(whole, mesh, condition, round_air()));
  REQUIRE(in_parts.report.status == SolveStatus::converged);
  REQUIRE(in_one.report.status == SolveStatus::converged);
  const Differences differences = compare(in_parts, in_one);
  CHECK(differences.temperature < solver_tolerance);
  CHECK(differences.psi < solver_tolerance);
}

TEST_CASE("Steady: conductivities, capacity and power scale together", "[steady]") {
  const double factor = 13.0;
  Section scaled = furnished_box();
  for (Solid& solid : scaled.solids) {
    solid.conductivity_x *= factor;
    solid.conductivity_y *= factor;
  }
  scaled.contacts[0].resistance /= factor;
  scaled.links[0].conductance *= factor;
  AirProperties air = round_air();
  air.conductivity *= factor;
  air.heat_capacity *= factor;
  const Solved original = converge(furnished_box(), tilted(37.0, 1e4, 1.0));
  const Solved other =
      solve(make_problem(scaled, rough_mesh(scaled), tilted(37.0, 1e4, factor), air));
  REQUIRE(other.report.status == SolveStatus::converged);
  const Differences differences = compare(original, other);
  CHECK(differences.temperature < solver_tolerance);
  CHECK(differences.psi < solver_tolerance);
  CHECK_THAT(other.state.link_heat[0],
             WithinRel(factor * original.state.link_heat[0], solver_tolerance));
}

TEST_CASE("Steady: a box heated from above stays at rest and conducts, Nu = 1", "[steady]") {
  const std::pair<double, SideName> tops[] = {
      {0.0, north}, {90.0, east}, {180.0, south}, {-90.0, west}};
  const SideName opposite[] = {east, west, north, south};
  for (const auto& [tilt, top] : tops) {
    CAPTURE(tilt);
    Section section = empty_box();
    section.sides[top] = isothermal_side(room + 0.5);
    section.sides[opposite[top]] = isothermal_side(room - 0.5);
    const Solved solved = converge(section, tilted(tilt, 1e6));
    // Rows to 1e-9 of their terms; conduction alone magnifies that by the number of cells.
    CHECK_THAT(-heat_out(solved.problem, solved.state, top), WithinRel(1.0, 1e-7));
    CHECK_THAT(heat_out(solved.problem, solved.state, opposite[top]), WithinRel(1.0, 1e-7));
    // Against psi of about 20 diffusivities of the same box heated from the side.
    CHECK(largest(solved.state.psi) < 1e-6);
  }
}

TEST_CASE("Steady: air flows round a free solid only where symmetry allows it", "[steady]") {
  const auto flow_round = [](double x) {
    Section section = empty_box();
    section.sides[south] = isothermal_side(room);
    section.sides[north] = isothermal_side(room);
    section.sides[west] = isothermal_side(room);
    section.sides[east] = isothermal_side(room);
    section.solids = {solid({x - 0.15, x + 0.15, 0.3, 0.55}, 20.0, 1.0)};
    const Solved solved = converge(section, tilted(0.0, 3e4, 2.0));
    const TensorMesh& mesh = solved.problem.mesh;
    const int j = cell_at(mesh.y, 0.4);
    const int i_solid = cell_at(mesh.x, x);
    const auto psi = [&](int i) { return solved.state.psi[at(mesh.node(i, j))]; };
    // The flow between the west wall and the solid, from the velocities, is the difference of psi.
    const std::vector<double> v = velocity_y(mesh, solved.state);
    double flow = 0.0;
    for (int i = 0; mesh.is_air(i, j); ++i) {
      flow += v[at(solved.problem.face_y(i, j))] * mesh.x.width(i);
    }
    const double range = largest(solved.state.psi);
    CHECK_THAT(flow, WithinAbs(psi(0) - psi(i_solid), 1e-12 * range)); // a dozen roundings
    return std::abs(flow) / range;
  };
  CHECK(flow_round(0.5) < solver_tolerance);
  CHECK(flow_round(0.35) > 0.01); // far above the tolerance: a net flow rises on one side
}

TEST_CASE("Steady: the heat released leaves through the sides", "[steady]") {
  Section section = furnished_box();
  // 1e-6 of the power is what every converged condition promises.
  CHECK_THAT(rest(section, tilted(37.0, 1e4, 3.0), 3.0), WithinAbs(0.0, 3e-6));
  section.depth = 0.5;
  CHECK_THAT(rest(section, tilted(37.0, 1e4, 1.5), 3.0), WithinAbs(0.0, 3e-6));
  for (Side& side : section.sides) {
    side.kind = SideKind::open;
    side.temperature = room;
  }
  CHECK_THAT(rest(section, tilted(0.0, 3e3, 1.5), 3.0), WithinAbs(0.0, 3e-6));
}

TEST_CASE("Steady: what was not converged is never called so", "[steady]") {
  SteadyOptions options;
  options.max_steps = 3;
  int n_watched = 0;
  options.watch = [&](const SolveReport& report) {
    ++n_watched;
    CHECK(report.steps == n_watched);
  };
  const Solved solved = solve(rough_problem(furnished_box(), tilted(37.0, 1e5, 1.0)), options);
  CHECK(solved.report.status == SolveStatus::not_converged);
  CHECK(solved.report.steps == 3);
  CHECK(n_watched == 3);
  CHECK(std::isfinite(largest(solved.state.temperature)));
  CHECK(largest(solved.state.psi) > 0.0); // the state reached, not the start
  CHECK(std::string(name(solved.report.status)) == "not converged");
}

TEST_CASE("Steady: a request to stop ends the solve after the step under way", "[steady]") {
  std::atomic<bool> stop{false};
  SteadyOptions options;
  options.stop = &stop;
  options.watch = [&](const SolveReport& report) { stop = report.steps == 2; };
  const Solved solved = solve(rough_problem(furnished_box(), tilted(37.0, 1e5, 1.0)), options);
  CHECK(solved.report.status == SolveStatus::stopped);
  CHECK(solved.report.steps == 2);
}

TEST_CASE("Steady: a solution is recognised and kept", "[steady]") {
  Solved solved = converge(furnished_box(), tilted(37.0, 1e4, 1.0));
  CHECK(solved.report.residual < 1e-9);
  CHECK(solved.report.factorisations > 1);
  const State before = solved.state;
  SteadyOptions options;
  options.cold = false;
  const SolveReport again = solve_steady(solved.problem, solved.state, options);
  CHECK(again.status == SolveStatus::converged);
  CHECK(again.factorisations == 0);
  CHECK(largest_difference(solved.state.temperature, before.temperature) == 0.0);
}

TEST_CASE("Steady: a neighbour's solution is a shorter way to the same flow", "[steady]") {
  const Solved cold = converge(furnished_box(), tilted(37.0, 1e4, 1.2));
  Solved warm = converge(furnished_box(), tilted(37.0, 1e4, 1.0));
  SteadyOptions options;
  options.cold = false;
  State state = warm.state;
  const SolveReport report = solve_steady(cold.problem, state, options);
  REQUIRE(report.status == SolveStatus::converged);
  CHECK(report.factorisations < cold.report.factorisations);
  warm = {cold.problem, state, report};
  CHECK(compare(cold, warm).temperature < solver_tolerance);
}

TEST_CASE("Steady: the same problem gives the same bits", "[steady]") {
  const Solved one = converge(furnished_box(), tilted(37.0, 1e4, 1.0));
  const Solved two = converge(furnished_box(), tilted(37.0, 1e4, 1.0));
  CHECK((one.state.psi == two.state.psi));
  CHECK((one.state.temperature == two.state.temperature));
  CHECK((one.state.link_heat == two.state.link_heat));
  CHECK(one.report.steps == two.report.steps);
}
