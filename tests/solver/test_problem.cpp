#include "solver/problem.hpp"
#include "tests/solver/fixtures.hpp"

#include <numeric>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double dozens_of_roundings = 1e-14; // a few dozen roundings, relative

/// Two cells side by side, 0.3 and 0.7 wide, 0.5 high.
Problem two_cells(const Section& section) {
  return make_problem(section, mesh_on(section, Axis{{0.0, 0.3, 1.0}}, Axis{{0.0, 0.5}}), {},
                      round_air());
}

Section two_solids() {
  Section section = empty_box(1.0, 0.5);
  section.solids = {solid({0.0, 0.3, 0.0, 0.5}, 2.0), solid({0.3, 1.0, 0.0, 0.5}, 5.0)};
  return section;
}

} // namespace

TEST_CASE("Problem: conductances add the half cells as resistances in series", "[problem]") {
  const Problem problem = two_cells(two_solids());
  CHECK_THAT(problem.conductance_x[1],
             WithinRel(0.5 / (0.15 / 2.0 + 0.35 / 5.0), dozens_of_roundings));
}

TEST_CASE("Problem: a contact adds its resistance, whichever solid is named first", "[problem]") {
  Section section = two_solids();
  section.contacts = {{1, 0, 0.4}};
  const double expected = 0.5 / (0.15 / 2.0 + 0.4 + 0.35 / 5.0);
  CHECK_THAT(two_cells(section).conductance_x[1], WithinRel(expected, dozens_of_roundings));
  section.contacts = {{0, 1, 0.4}};
  CHECK_THAT(two_cells(section).conductance_x[1], WithinRel(expected, dozens_of_roundings));
}

TEST_CASE("Problem: an outer side conducts as its kind says", "[problem]") {
  Section section = two_solids();
  section.sides[west] = isothermal_side(310.0);
  section.sides[east] = {SideKind::film, 290.0, 4.0};
  section.sides[south] = {SideKind::symmetry, 290.0, 4.0};
  section.sides[north] = {SideKind::open, 290.0, 4.0};
  Problem problem = two_cells(section);
  CHECK_THAT(problem.conductance_x[0], WithinRel(0.5 / (0.15 / 2.0), dozens_of_roundings));
  CHECK_THAT(problem.conductance_x[2],
             WithinRel(0.5 / (1.0 / 4.0 + 0.35 / 5.0), dozens_of_roundings));
  CHECK(problem.conductance_y == std::vector<double>{0.0, 0.0, 0.0, 0.0});
  section.sides[west] = {SideKind::insulated, 310.0, 4.0};
  section.sides[east] = {SideKind::film, 290.0, 0.0};
  problem = two_cells(section);
  CHECK(problem.conductance_x[0] == 0.0);
  CHECK(problem.conductance_x[2] == 0.0);
}

TEST_CASE("Problem: a solid may conduct differently along x and y", "[problem]") {
  Section section = two_solids();
  section.solids[0].conductivity_x = 11.0;
  section.sides[south] = isothermal_side(300.0);
  const Problem problem = two_cells(section);
  CHECK_THAT(problem.conductance_x[1],
             WithinRel(0.5 / (0.15 / 11.0 + 0.35 / 5.0), dozens_of_roundings));
  CHECK_THAT(problem.conductance_y[0], WithinRel(0.3 / (0.25 / 2.0), dozens_of_roundings));
}

TEST_CASE("Problem: power per depth is released by shares, even over each solid", "[problem]") {
  Section section = furnished_box();
  section.depth = 0.25;
  const Problem problem = rough_problem(section, {0.0, 0.0, 6.0});
  std::vector<double> by_region(4, 0.0);
  for (int k = 0; k < problem.mesh.n_cells(); ++k) {
    by_region[at(problem.mesh.region[at(k)])] += problem.heat[at(k)];
  }
  const double tolerance = 1e-12; // edges of solids are mesh lines up to a few roundings
  CHECK(by_region[0] == 0.0);
  CHECK_THAT(by_region[1], WithinRel(0.7 * 6.0 / 0.25, tolerance));
  CHECK(by_region[2] == 0.0);
  CHECK_THAT(by_region[3], WithinRel(0.3 * 6.0 / 0.25, tolerance));
  const int i = cell_at(problem.mesh.x, 0.25);
  const int j = cell_at(problem.mesh.y, 0.2);
  const double area = problem.mesh.x.width(i) * problem.mesh.y.width(j);
  CHECK_THAT(problem.heat[at(problem.mesh.cell(i, j))],
             WithinRel(0.7 * 6.0 / 0.25 * area / (0.1 * 0.5), tolerance));
}

TEST_CASE("Problem: a link weighs the cells of its patches by area", "[problem]") {
  const Section section = furnished_box();
  for (const double wall_cell : {0.04, 0.03}) { // no mesh line need lie on the patch's edge
    const Problem problem = rough_problem(section, {}, wall_cell);
    REQUIRE(problem.links.size() == 1);
    const LinkCells& link = problem.links[0];
    CHECK(link.conductance == 1.7);
    const auto total = [](const std::vector<double>& w) {
      return std::accumulate(w.begin(), w.end(), 0.0);
    };
    CHECK_THAT(total(link.weights_a), WithinRel(1.0, dozens_of_roundings));
    CHECK_THAT(total(link.weights_b), WithinRel(1.0, dozens_of_roundings));
    for (const int cell : link.cells_a) {
      CHECK(problem.mesh.region[at(cell)] == 1);
    }
    for (const int cell : link.cells_b) {
      CHECK(problem.mesh.region[at(cell)] == 3);
    }
  }
}

TEST_CASE("Problem: the calm room grows outside the machine's outline only", "[problem]") {
  Section section = empty_box(1.0, 1.0);
  section.machine = Rectangle{0.4, 0.6, 0.4, 0.6};
  const TensorMesh mesh = rough_mesh(section, 0.02);
  const CalmRoom calm{20.0, 0.05, 0.2};
  const Problem problem = make_problem(section, mesh, {}, round_air(), calm);
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const double dx = std::max({0.4 - mesh.x.centre(i), mesh.x.centre(i) - 0.6, 0.0});
      const double dy = std::max({0.4 - mesh.y.centre(j), mesh.y.centre(j) - 0.6, 0.0});
      const double distance = std::hypot(dx, dy);
      const double factor = problem.calm_cell[at(mesh.cell(i, j))];
      CAPTURE(i, j, distance);
      if (distance <= 0.05) {
        CHECK(factor == 1.0);
      } else if (distance >= 0.25) {
        CHECK_THAT(factor, WithinRel(20.0, dozens_of_roundings));
      } else {
        CHECK((factor > 1.0 && factor < 20.0));
      }
    }
  }
  // Far from the machine the air conducts by the factor better.
  CHECK_THAT(problem.conductance_x[1],
             WithinRel(20.0 * mesh.y.width(0) / (mesh.x.centre(1) - mesh.x.centre(0)), 1e-12));
}

TEST_CASE("Problem: without a machine, or with factor 1, no air is calmed", "[problem]") {
  Section section = empty_box();
  const TensorMesh mesh = rough_mesh(section);
  CHECK(largest(make_problem(section, mesh, {}, round_air()).calm_cell) == 1.0);
  section.machine = Rectangle{0.4, 0.6, 0.4, 0.6};
  const CalmRoom off{1.0, 0.0, 0.1};
  CHECK(largest(make_problem(section, mesh, {}, round_air(), off).calm_node) == 1.0);
}
