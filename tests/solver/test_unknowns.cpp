#include "solver/unknowns.hpp"
#include "tests/solver/fixtures.hpp"

#include <set>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

int n_islands(const Section& section) {
  return number_unknowns(rough_problem(section, {})).n_islands;
}

Section open_room() {
  Section section = empty_box();
  for (Side& side : section.sides) {
    side.kind = SideKind::open;
  }
  return section;
}

/// Island of the node at a place, -1 in free air.
int island_at(const Problem& problem, const Unknowns& unknowns, double x, double y) {
  const int i = cell_at(problem.mesh.x, x + 1e-9);
  const int j = cell_at(problem.mesh.y, y + 1e-9);
  return unknowns.island[at(problem.mesh.node(i, j))];
}

} // namespace

TEST_CASE("Unknowns: every connected solid is one island, the outer wall another", "[unknowns]") {
  Section section = empty_box();
  CHECK(n_islands(section) == 1);
  // Free plates, each its own island.
  for (int k = 0; k < 3; ++k) {
    const double x = 0.2 + 0.2 * k;
    section.solids.push_back(solid({x, x + 0.05, 0.3, 0.7}, 1.0));
  }
  CHECK(n_islands(section) == 4);
  // A base that touches them makes them one comb.
  section.solids.push_back(solid({0.15, 0.7, 0.2, 0.3}, 1.0));
  CHECK(n_islands(section) == 2);
  // A foot joins the comb to the outer wall.
  section.solids.push_back(solid({0.4, 0.5, 0.0, 0.2}, 1.0));
  CHECK(n_islands(section) == 1);
}

TEST_CASE("Unknowns: solids that touch at a corner are one island", "[unknowns]") {
  Section section = empty_box();
  section.solids = {solid({0.2, 0.4, 0.2, 0.4}, 1.0), solid({0.4, 0.6, 0.4, 0.6}, 1.0)};
  CHECK(n_islands(section) == 2);
  section.solids[1].extent = {0.41, 0.6, 0.4, 0.6};
  CHECK(n_islands(section) == 3);
}

TEST_CASE("Unknowns: a stretch of closed wall between openings is an island", "[unknowns]") {
  Section section = open_room();
  CHECK(n_islands(section) == 0);
  section.sides[south].kind = SideKind::insulated;
  CHECK(n_islands(section) == 1);
  section.sides[north].kind = SideKind::symmetry;
  CHECK(n_islands(section) == 2); // apart: west and east are open
  section.sides[west].kind = SideKind::isothermal;
  CHECK(n_islands(section) == 1); // west joins them
  section.solids = {solid({0.9, 1.0, 0.4, 0.6}, 1.0)};
  CHECK(n_islands(section) == 2); // a solid that parts the open east side
}

TEST_CASE("Unknowns: no slip on walls and solids, slip on symmetry and open sides", "[unknowns]") {
  Section section = furnished_box();
  section.sides[south].kind = SideKind::symmetry;
  section.sides[north].kind = SideKind::open;
  const Problem problem = rough_problem(section, {});
  const Unknowns unknowns = number_unknowns(problem);
  const int nx = problem.mesh.x.n();
  const int ny = problem.mesh.y.n();
  for (int i = 1; i < nx; ++i) {
    CHECK(unknowns.no_slip[at(problem.mesh.node(i, 0))] == 0);
    CHECK(unknowns.no_slip[at(problem.mesh.node(i, ny))] == 0);
  }
  for (int j = 0; j <= ny; ++j) {
    CHECK(unknowns.no_slip[at(problem.mesh.node(0, j))] == 1);
    CHECK(unknowns.no_slip[at(problem.mesh.node(nx, j))] == 1);
  }
  CHECK(island_at(problem, unknowns, 0.2, 0.15) == island_at(problem, unknowns, 0.5, 0.4));
  CHECK(island_at(problem, unknowns, 0.2, 0.15) != island_at(problem, unknowns, 0.62, 0.45));
  CHECK(island_at(problem, unknowns, 0.55, 0.7) == -1);
}

TEST_CASE("Unknowns: the reference is an island where there is one, else a node", "[unknowns]") {
  const auto n_references = [](const Unknowns& unknowns) {
    return std::count(unknowns.psi.begin(), unknowns.psi.end(), -1);
  };
  Problem problem = rough_problem(furnished_box(), {});
  Unknowns unknowns = number_unknowns(problem);
  REQUIRE(unknowns.reference_island >= 0);
  CHECK(n_references(unknowns) ==
        std::count(unknowns.island.begin(), unknowns.island.end(), unknowns.reference_island));
  const State state = unpack(unknowns, random_vector(unknowns.n, 13));
  for (std::size_t node = 0; node < unknowns.psi.size(); ++node) {
    CHECK((state.psi[node] == 0.0) == (unknowns.island[node] == unknowns.reference_island));
  }

  Section section = open_room();
  problem = rough_problem(section, {});
  unknowns = number_unknowns(problem);
  CHECK(unknowns.reference_island == -1);
  CHECK(n_references(unknowns) == 1);

  section.solids = {solid({0.4, 0.6, 0.4, 0.6}, 1.0)};
  problem = rough_problem(section, {});
  unknowns = number_unknowns(problem);
  CHECK(unknowns.reference_island == island_at(problem, unknowns, 0.4, 0.4));
}

TEST_CASE("Unknowns: a pocket of air takes the psi of the wall round it", "[unknowns]") {
  // A frame that stands free in the box: air outside it, air inside it.
  Section section = empty_box();
  section.solids = {solid({0.2, 0.8, 0.2, 0.3}, 1.0), solid({0.2, 0.8, 0.7, 0.8}, 1.0),
                    solid({0.2, 0.3, 0.3, 0.7}, 1.0), solid({0.7, 0.8, 0.3, 0.7}, 1.0)};
  const Problem problem = rough_problem(section, {});
  const Unknowns unknowns = number_unknowns(problem);
  CHECK(unknowns.n_islands == 2);
  CHECK(island_at(problem, unknowns, 0.3, 0.3) == island_at(problem, unknowns, 0.2, 0.2));
  CHECK(island_at(problem, unknowns, 0.5, 0.5) == -1);
}

TEST_CASE("Unknowns: every number from 0 to n - 1 is given once", "[unknowns]") {
  for (const bool open : {false, true}) {
    Section section = furnished_box();
    if (open) {
      section.sides = open_room().sides;
    }
    const Unknowns unknowns = number_unknowns(rough_problem(section, {}));
    std::set<int> seen;
    int n_given = 0;
    const auto give = [&](int k) {
      ++n_given;
      seen.insert(k);
    };
    std::set<int> islands;
    for (std::size_t node = 0; node < unknowns.psi.size(); ++node) {
      const int island = unknowns.island[node];
      if (unknowns.psi[node] >= 0 && (island < 0 || islands.insert(island).second)) {
        give(unknowns.psi[node]);
      }
    }
    for (const int k : unknowns.temperature) {
      give(k);
    }
    for (const int k : unknowns.link) {
      give(k);
    }
    CHECK(n_given == unknowns.n);
    CHECK(static_cast<int>(seen.size()) == unknowns.n);
    CHECK(*seen.begin() == 0);
    CHECK(*seen.rbegin() == unknowns.n - 1);
  }
}

TEST_CASE("Unknowns: packing undoes unpacking", "[unknowns]") {
  const Problem problem = rough_problem(furnished_box(), {});
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = random_vector(unknowns.n, 7);
  State state = unpack(unknowns, z);
  CHECK((pack(unknowns, state) == z));
  // psi means something up to a constant only. 0.5 + z - 0.5 rounds once.
  for (double& psi : state.psi) {
    psi += 0.5;
  }
  CHECK(largest_difference(pack(unknowns, state), z) < 1e-15);
}

TEST_CASE("Unknowns: mass is conserved in every cell for any streamfunction", "[unknowns]") {
  Section section = furnished_box();
  section.sides = open_room().sides;
  const Problem problem = rough_problem(section, {});
  const TensorMesh& mesh = problem.mesh;
  const Unknowns unknowns = number_unknowns(problem);
  const State state = unpack(unknowns, random_vector(unknowns.n, 11));
  const std::vector<double> u = velocity_x(mesh, state);
  const std::vector<double> v = velocity_y(mesh, state);
  double worst = 0.0;
  double fastest_in_solid = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const double out_x = u[at(problem.face_x(i + 1, j))] - u[at(problem.face_x(i, j))];
      const double out_y = v[at(problem.face_y(i, j + 1))] - v[at(problem.face_y(i, j))];
      worst = std::max(worst, std::abs(out_x * mesh.y.width(j) + out_y * mesh.x.width(i)));
      if (!mesh.is_air(i, j)) {
        fastest_in_solid = std::max({fastest_in_solid, std::abs(u[at(problem.face_x(i, j))]),
                                     std::abs(u[at(problem.face_x(i + 1, j))]),
                                     std::abs(v[at(problem.face_y(i, j))]),
                                     std::abs(v[at(problem.face_y(i, j + 1))])});
      }
    }
  }
  CHECK(worst < 1e-14); // flows of order one, a dozen roundings
  CHECK(fastest_in_solid == 0.0);
}

TEST_CASE("Unknowns: interpolation keeps islands and a constant temperature", "[unknowns]") {
  const Section section = furnished_box();
  const Problem coarse = rough_problem(section, {}, 0.06);
  const Problem fine = rough_problem(section, {}, 0.025);
  const Unknowns from = number_unknowns(coarse);
  const Unknowns to = number_unknowns(fine);
  State state = unpack(from, random_vector(from.n, 5));
  std::fill(state.temperature.begin(), state.temperature.end(), 312.7);
  for (const bool refine : {true, false}) {
    const State result =
        refine ? interpolate(coarse, state, fine) : interpolate(coarse, state, coarse);
    const Unknowns& unknowns = refine ? to : from;
    std::vector<double> of_island(3, 0.0);
    for (std::size_t node = 0; node < from.psi.size(); ++node) {
      if (from.island[node] >= 0) {
        of_island[at(from.island[node])] = state.psi[node];
      }
    }
    for (std::size_t node = 0; node < unknowns.psi.size(); ++node) {
      if (unknowns.island[node] >= 0) {
        CHECK(result.psi[node] == of_island[at(unknowns.island[node])]);
      }
    }
    for (const double temperature : result.temperature) {
      CHECK_THAT(temperature, WithinRel(312.7, 1e-15)); // a weighted mean of equal numbers
    }
    CHECK((result.link_heat == state.link_heat));
  }
  const State same = interpolate(coarse, state, coarse);
  CHECK(largest_difference(same.psi, state.psi) == 0.0);
}

TEST_CASE("Unknowns: interpolation reproduces fields that are linear in free air", "[unknowns]") {
  const Section section = empty_box();
  const Problem coarse = rough_problem(section, {}, 0.1);
  const Problem fine = rough_problem(section, {}, 0.03);
  State state = rest_state(coarse, 0.0);
  const auto linear = [](double x, double y) { return 300.0 + 2.0 * x - 3.0 * y; };
  for (int j = 0; j < coarse.mesh.y.n(); ++j) {
    for (int i = 0; i < coarse.mesh.x.n(); ++i) {
      state.temperature[at(coarse.mesh.cell(i, j))] =
          linear(coarse.mesh.x.centre(i), coarse.mesh.y.centre(j));
    }
  }
  const State result = interpolate(coarse, state, fine);
  const double x_end = coarse.mesh.x.centre(coarse.mesh.x.n() - 1);
  const double x_start = coarse.mesh.x.centre(0);
  const double y_end = coarse.mesh.y.centre(coarse.mesh.y.n() - 1);
  const double y_start = coarse.mesh.y.centre(0);
  double worst = 0.0;
  for (int j = 0; j < fine.mesh.y.n(); ++j) {
    for (int i = 0; i < fine.mesh.x.n(); ++i) {
      // Beyond the outermost centres the nearest value is kept.
      const double x = std::clamp(fine.mesh.x.centre(i), x_start, x_end);
      const double y = std::clamp(fine.mesh.y.centre(j), y_start, y_end);
      worst =
          std::max(worst, std::abs(result.temperature[at(fine.mesh.cell(i, j))] - linear(x, y)));
    }
  }
  CHECK(worst < 1e-12); // rounding of numbers near 300
}
