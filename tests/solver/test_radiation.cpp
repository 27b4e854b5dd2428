#include "solver/radiation.hpp"
#include "solver/slot.hpp"
#include "tests/solver/fixtures.hpp"

#include <array>
#include <memory>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

// Newton's method ends at rounding of temperatures near 400 K; the hand solutions here are as good.
constexpr double solver = 1e-10;

double black(double temperature) {
  return stefan_boltzmann * std::pow(temperature, 4);
}

Side wall(SideKind kind, double temperature, double emissivity) {
  return {kind, temperature, 0.0, emissivity};
}

/// Air that conducts but does not move.
AirProperties quiet_air(double conductivity) {
  AirProperties air = round_air();
  air.conductivity = conductivity;
  return air;
}

struct Radiating {
  Problem problem;
  State state;
  std::vector<double> radiated; ///< per radiant face [W/m]

  /// Net radiation from one side [W/m].
  [[nodiscard]] double from_side(SideName side) const {
    return sum([side](const RadiantZone& zone) { return zone.solid < 0 && zone.side == side; });
  }
  [[nodiscard]] double from_solid(int solid) const {
    return sum([solid](const RadiantZone& zone) { return zone.solid == solid; });
  }

  template <class Choose>
  [[nodiscard]] double sum(Choose choose) const {
    double total = 0.0;
    for (std::size_t k = 0; k < radiated.size(); ++k) {
      const RadiantFace& face = problem.radiant_faces[k];
      total += choose(problem.radiation->zones[at(face.zone)]) ? radiated[k] : 0.0;
    }
    return total;
  }
};

Radiating solve(const Section& section, const TensorMesh& mesh, const AirProperties& air,
                double power = 0.0) {
  Radiating solved;
  solved.problem = make_problem(section, mesh, {0.0, 0.0, power}, air);
  const Unknowns unknowns = number_unknowns(solved.problem);
  const std::vector<double> z =
      newton(solved.problem, unknowns, pack(unknowns, rest_state(solved.problem, room)));
  solved.state = unpack(unknowns, z);
  solved.radiated = radiant_heat(solved.problem, solved.state);
  return solved;
}

/// A box between a warm west and a cold east wall, south and north reflecting all.
Section two_walls(double width, double height, double e_west, double e_east) {
  Section section = empty_box(width, height);
  section.sides[west] = wall(SideKind::isothermal, 400.0, e_west);
  section.sides[east] = wall(SideKind::isothermal, 300.0, e_east);
  section.radiant_zone = 100.0; // every wall is one zone
  return section;
}

TensorMesh even_mesh(const Section& section, int nx, int ny) {
  TensorMesh mesh =
      mesh_on(section, graded_axis(section.width, nx, 0.0), graded_axis(section.height, ny, 0.0));
  for (int cell = 0; cell < mesh.n_cells() && !section.media.empty(); ++cell) {
    const bool inside =
        section.media[0].extent.contains(mesh.x.centre(cell % nx), mesh.y.centre(cell / nx));
    mesh.medium.push_back(inside ? 1 : 0);
  }
  return mesh;
}

/// Resistance between two equal opposed walls of area 1 with two reflecting walls between their
/// ends, each wall at one radiosity [1/m]: of the two surfaces, and of the space, where the direct
/// way F is joined by the way over the reflecting walls, which stand halfway in potential.
double resistance(double gap_over_height, double e_west, double e_east) {
  const double f = std::hypot(1.0, gap_over_height) - gap_over_height;
  return 1.0 / e_west - 1.0 + 2.0 / (1.0 + f) + 1.0 / e_east - 1.0;
}

} // namespace

TEST_CASE("Radiation: two walls and what reflects between them, by hand", "[radiation]") {
  for (const auto& [gap, e_west, e_east] :
       {std::array{1.0, 0.5, 0.8}, std::array{0.3, 1.0, 0.2}, std::array{2.0, 1.0, 1.0}}) {
    CAPTURE(gap, e_west, e_east);
    const Section section = two_walls(gap, 1.0, e_west, e_east);
    const Radiating solved = solve(section, even_mesh(section, 4, 5), quiet_air(1.0));
    const double expected = (black(400.0) - black(300.0)) / resistance(gap, e_west, e_east);
    CHECK_THAT(solved.from_side(west), WithinRel(expected, solver));
    CHECK_THAT(solved.from_side(east), WithinRel(-expected, solver));
  }
}

TEST_CASE("Radiation: large plates exchange by their effective emissivity", "[radiation]") {
  // Textbook: q = sigma (T1^4 - T2^4) / (1/e1 + 1/e2 - 1). At gap / height = 1e-4 the ends change
  // the space's resistance by half of that.
  for (const auto& [e_west, e_east] : {std::array{0.84, 0.84}, std::array{0.1, 0.9}}) {
    const Section section = two_walls(1e-4, 1.0, e_west, e_east);
    const Radiating solved = solve(section, even_mesh(section, 4, 3), quiet_air(1e-6));
    const double effective = solved.from_side(west) / (black(400.0) - black(300.0));
    CHECK_THAT(effective, WithinRel(1.0 / (1.0 / e_west + 1.0 / e_east - 1.0), 1e-4));
  }
}

TEST_CASE("Radiation: conduction in a wall, then conduction and radiation across a gap",
          "[radiation]") {
  // A wall of thickness 0.2 and conductivity 3 against the warm side, a gap of 0.3 to the cold one.
  // Fluxes balance at the wall's surface; the scheme is exact for the two linear profiles.
  const double e_solid = 0.7;
  const double e_east = 0.4;
  const AirProperties air = quiet_air(0.5);
  Section section = two_walls(0.5, 1.0, 0.0, e_east);
  section.solids = {solid({0.0, 0.2, 0.0, 1.0}, 3.0)};
  section.solids[0].emissivity = e_solid;
  const TensorMesh mesh =
      mesh_on(section, Axis{{0.0, 0.06, 0.13, 0.2, 0.25, 0.33, 0.42, 0.5}}, Axis{{0.0, 0.4, 1.0}});
  const double r = resistance(0.3, e_solid, e_east);
  double cold = 300.0; // bisection for the surface temperature
  double warm = 400.0;
  for (int k = 0; k < 100; ++k) {
    const double t = 0.5 * (cold + warm);
    const double gain = 3.0 / 0.2 * (400.0 - t);
    const double loss = 0.5 / 0.3 * (t - 300.0) + (black(t) - black(300.0)) / r;
    (gain > loss ? cold : warm) = t;
  }
  const Radiating solved = solve(section, mesh, air);
  CHECK_THAT(solved.from_solid(0), WithinRel((black(cold) - black(300.0)) / r, 1e-9));
  CHECK_THAT(-heat_out(solved.problem, solved.state, west),
             WithinRel(3.0 / 0.2 * (400.0 - cold), 1e-9));
  CHECK_THAT(heat_out(solved.problem, solved.state, east),
             WithinRel(0.5 / 0.3 * (cold - 300.0), 1e-9));
}

TEST_CASE("Radiation: a wall behind a film floats", "[radiation]") {
  // West warm and emitting, east behind a film of 5 W/(m2 K) that loses to 300 K what is conducted
  // and radiated to it: one balance for the wall's surface.
  Section section = two_walls(1.0, 1.0, 0.9, 0.6);
  section.sides[east].kind = SideKind::film;
  section.sides[east].film = 5.0;
  const Radiating solved = solve(section, even_mesh(section, 6, 4), quiet_air(0.3));
  const double r = resistance(1.0, 0.9, 0.6);
  double cold = 300.0;
  double warm = 400.0;
  for (int k = 0; k < 100; ++k) {
    const double t = 0.5 * (cold + warm);
    const double gain = 0.3 * (400.0 - t) + (black(400.0) - black(t)) / r;
    (gain > 5.0 * (t - 300.0) ? cold : warm) = t;
  }
  CHECK_THAT(solved.from_side(west), WithinRel((black(400.0) - black(cold)) / r, 1e-9));
  CHECK_THAT(-heat_out(solved.problem, solved.state, west), WithinRel(0.3 * (400.0 - cold), 1e-9));
}

TEST_CASE("Radiation: a body in an enclosure", "[radiation]") {
  // A square block midway in a square box: every wall has one radiosity, by symmetry the same, and
  // the formula for concentric bodies holds: q1 = sigma (T1^4 - T2^4) / (1/e1 + A1/A2 (1/e2 - 1));
  // for a small body q = e sigma (T^4 - Tsur^4).
  const auto check = [](double size, double e_wall) {
    CAPTURE(size, e_wall);
    Section section = empty_box();
    for (Side& side : section.sides) {
      side = wall(SideKind::isothermal, room, e_wall);
    }
    section.solids = {
        solid({0.5 - 0.5 * size, 0.5 + 0.5 * size, 0.5 - 0.5 * size, 0.5 + 0.5 * size}, 1e7, 1.0)};
    section.solids[0].emissivity = 0.3;
    section.radiant_zone = 100.0;
    const Radiating solved = solve(section, rough_mesh(section, 0.1), quiet_air(1.0), 20.0);
    const double t = solved.state.temperature[at(
        solved.problem.mesh.cell(solved.problem.mesh.x.n() / 2, solved.problem.mesh.y.n() / 2))];
    REQUIRE(t > room + 1.0);
    const double own = 4.0 * size;
    const double expected =
        own * (black(t) - black(room)) / (1.0 / 0.3 + own / 4.0 * (1.0 / e_wall - 1.0));
    // The block is isothermal to 20 W / 1e7 W/K of 10 K.
    CHECK_THAT(solved.from_solid(0), WithinRel(expected, 1e-6));
    return solved.from_solid(0) / (own * 0.3 * (black(t) - black(room)));
  };
  CHECK_THAT(check(0.4, 1.0), WithinRel(1.0, 1e-6));
  // A1/A2 = 0.02: q falls short of the small body's by e1 A1/A2 (1/e2 - 1) = 0.02 x 0.3 x 0.25.
  CHECK_THAT(check(0.02, 0.8), WithinRel(1.0, 0.0016));
  check(0.4, 0.25);
}

TEST_CASE("Radiation: fins seen from their edges, by hand", "[radiation]") {
  // A bundle between the warm wall and a gap of 0.6 to the cold one, as high as the box, of a metal
  // that knows no drop: edges and mouths are one grey wall of 400 K. Each gap of 0.1 is a slot 0.4
  // deep with the warm wall as its bottom. To its mouth comes a share of 1/5 of edges.
  for (const auto& [e, e_east] : {std::array{0.05, 1.0}, std::array{0.82, 0.3}}) {
    CAPTURE(e, e_east);
    Section section = two_walls(1.0, 1.0, 0.0, e_east);
    section.media = {{"fins", {0.0, 0.4, 0.0, 1.0}, 0.1, 0.025, 1e9}};
    section.media[0].emissivity = e;
    section.sides[south].kind = SideKind::symmetry; // the gaps go on
    section.sides[north].kind = SideKind::symmetry;
    const Radiating solved = solve(section, even_mesh(section, 10, 5), quiet_air(1e-3));
    const double e_edge = 0.8 * slot_emissivity(e, 4.0) + 0.2 * e;
    const double expected = (black(400.0) - black(300.0)) / resistance(0.6, e_edge, e_east);
    CHECK_THAT(solved.from_side(east), WithinRel(-expected, 1e-6)); // 1e9 W/(m K): 1 mK
  }
}

TEST_CASE("Radiation: the edges of a fin bundle are zones, what it hides is none", "[radiation]") {
  // 0.2 x 0.3 on a base that closes one of the longer edges: slots 0.2 deep towards the east, half
  // of 0.3 towards south and north.
  Section section = empty_box();
  section.solids = {solid({0.2, 0.3, 0.3, 0.6}, 1.0)};
  section.media = {{"fins", {0.3, 0.5, 0.3, 0.6}, 0.05, 0.0125, 1.0}};
  section.media[0].emissivity = 0.3;
  section.radiant_zone = 100.0;
  const auto zones_of = [](const Section& own) {
    return make_radiant_zones(own, rough_mesh(own, 0.1)).zones;
  };
  const auto looks_east = [](const RadiantZone& zone) { return zone.strip.y0 > zone.strip.y1; };
  int edges = 0;
  for (const RadiantZone& zone : zones_of(section)) {
    if (zone.medium == 0) {
      ++edges;
      const double mouth = slot_emissivity(0.3, looks_east(zone) ? 4.0 : 3.0);
      CHECK_THAT(zone.emissivity, WithinRel(0.8 * mouth + 0.2 * 0.3, 1e-12));
    } else if (zone.solid == 0) {
      CHECK_FALSE(looks_east(zone)); // the base behind the fins
    }
  }
  CHECK(edges == 3);
  // Fins that spread like spokes, 0.02 apart at the south edge and 0.08 at the north one.
  section.media[0].gap_growth = 0.2;
  for (const RadiantZone& zone : zones_of(section)) {
    if (zone.medium == 0 && !looks_east(zone)) {
      const double gap = zone.strip.y0 < 0.45 ? 0.02 : 0.08;
      const double expected =
          (gap * slot_emissivity(0.3, 0.15 / gap) + 0.0125 * 0.3) / (gap + 0.0125);
      CHECK_THAT(zone.emissivity, WithinRel(expected, 1e-12));
    }
  }
}

TEST_CASE("Radiation: an enclosure of one temperature exchanges nothing", "[radiation]") {
  Section section = furnished_box();
  section.media = {{"fins", {0.3, 0.5, 0.4, 0.55}, 0.05, 0.02, 5.0}};
  section.media[0].emissivity = 0.7;
  for (Side& side : section.sides) {
    side = wall(SideKind::isothermal, 350.0, 0.6);
  }
  section.sides[north] = wall(SideKind::insulated, 350.0, 0.3);
  section.sides[east] = {SideKind::open, 350.0};
  for (Solid& solid : section.solids) {
    solid.emissivity = 0.85;
  }
  section.solids[1].face_emissivity[east] = 0.0;
  const Problem problem = make_problem(section, rough_mesh(section), {}, round_air());
  const State state = rest_state(problem, 350.0);
  // View factors are closed to 1e-10.
  CHECK(largest(radiant_heat(problem, state)) < 1e-10 * black(350.0));
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> f = residual(problem, unknowns, pack(unknowns, state));
  for (const int k : unknowns.irradiation) {
    CHECK(std::abs(f[at(k)]) < 1e-10 * black(350.0));
  }
  for (const int k : unknowns.radiosity) {
    CHECK(std::abs(f[at(k)]) < 1e-12 * black(350.0));
  }
}

TEST_CASE("Radiation: all that leaves a surface arrives at another", "[radiation]") {
  Section section = furnished_box();
  for (Side& side : section.sides) {
    side.emissivity = 0.7;
  }
  for (Solid& solid : section.solids) {
    solid.emissivity = 0.4;
  }
  const Radiating solved = solve(section, rough_mesh(section), quiet_air(1.0), 400.0);
  double sum = 0.0;
  double size = 0.0;
  for (const double heat : solved.radiated) {
    sum += heat;
    size += std::abs(heat);
  }
  REQUIRE(size > 10.0);
  CHECK(std::abs(solved.from_side(south)) > 0.01 * size); // insulated: the air gives or takes it
  // Closure of 1e-10 acts on radiosities some fifty times the net heats.
  CHECK(std::abs(sum) < 1e-8 * size);
  // What is released leaves through the walls, conducted and radiated.
  double lost = -solved.from_side(west) - solved.from_side(east);
  for (const SideName side : {west, east, south, north}) {
    lost += heat_out(solved.problem, solved.state, side);
  }
  CHECK_THAT(lost, WithinRel(400.0, 1e-8));
}

TEST_CASE("Radiation: half a section with a mirror gives what the whole does", "[radiation]") {
  // The whole: symmetric about x = 1. Zones are cut there, so both know the same strips.
  const auto furnish = [](double width, double middle) {
    Section section = empty_box(width, 0.8);
    section.sides[south] = wall(SideKind::isothermal, 400.0, 0.6);
    section.sides[north] = wall(SideKind::isothermal, 300.0, 0.3);
    section.sides[east] = wall(SideKind::insulated, room, 0.8);
    section.sides[west] = section.sides[east];
    section.solids = {solid({middle + 0.3, middle + 0.5, 0.3, 0.6}, 2.0)};
    section.radiant_zone = 0.2;
    return section;
  };
  Section whole = furnish(2.0, 1.0);
  whole.solids.push_back(solid({0.5, 0.7, 0.3, 0.6}, 2.0));
  Section half = furnish(1.0, 0.0);
  half.sides[west] = {SideKind::symmetry};
  for (Section* section : {&whole, &half}) {
    for (Solid& solid : section->solids) {
      solid.emissivity = 0.5;
    }
  }
  const Radiating from_whole = solve(whole, even_mesh(whole, 40, 16), quiet_air(0.4));
  const Radiating from_half = solve(half, even_mesh(half, 20, 16), quiet_air(0.4));
  CHECK(from_whole.problem.radiation->n() == 2 * from_half.problem.radiation->n());
  CHECK_THAT(from_half.from_solid(0), WithinRel(from_whole.from_solid(0), 1e-8));
  CHECK_THAT(2.0 * from_half.from_side(south), WithinRel(from_whole.from_side(south), 1e-8));
  // Two mirrors face to face are not followed: they reflect diffusely, as zones of their own.
  half.sides[east] = {SideKind::symmetry};
  const Radiating between = solve(half, even_mesh(half, 20, 16), quiet_air(0.4));
  CHECK(between.problem.radiation->n() == from_half.problem.radiation->n() + 4);
}

TEST_CASE("Radiation: zones follow the surfaces and keep near the length wanted", "[radiation]") {
  Section section = furnished_box();
  section.sides[east] = {SideKind::open, room};
  CHECK(make_radiant_zones(section, rough_mesh(section)).n() == 0); // nothing emits
  section.solids[1].face_emissivity[north] = 0.5;
  section.radiant_zone = 0.15;
  const TensorMesh mesh = rough_mesh(section);
  const RadiantZones zones = make_radiant_zones(section, mesh);
  double total = 0.0;
  int open = 0;
  int emitting = 0;
  for (const RadiantZone& zone : zones.zones) {
    total += zone.strip.length();
    const bool is_open = zone.solid < 0 && zone.side == east;
    open += is_open ? 1 : 0;
    emitting += zone.emissivity > 0.0 && !is_open ? 1 : 0;
    CHECK((is_open || zone.strip.length() < 2.0 * 0.15));
  }
  CHECK(open == 1);
  CHECK(emitting == 1); // the fin's upper face, 0.2 long
  // The box, the base (less what the fin covers), the fin (less its root), the block.
  const double expected = 3.6 + (1.2 - 0.1) + (0.6 - 0.1) + 0.66;
  CHECK_THAT(total, WithinRel(expected, 1e-12));
  for (const std::vector<int>* list : {&zones.zone_of_x_face, &zones.zone_of_y_face}) {
    for (const int zone : *list) {
      CHECK((zone >= -1 && zone < zones.n()));
    }
  }
}

TEST_CASE("Radiation: emissivity zero everywhere changes nothing", "[radiation]") {
  const Problem problem = rough_problem(furnished_box(), tilted(37.0, 1e4, 5.0));
  CHECK(problem.radiation->n() == 0);
  CHECK(problem.radiant_faces.empty());
  CHECK(number_unknowns(problem).radiosity.empty());
}

TEST_CASE("Radiation: finer zones converge with second order", "[radiation][order]") {
  // Heat from a warm floor of emissivity 0.5 to cold walls of 0.5 past a reflecting ceiling, with a
  // block in the way that floats: irradiation varies along every surface.
  const auto heat = [](double zone) {
    Section section = empty_box();
    section.solids = {solid({0.5, 0.75, 0.25, 0.5}, 0.5)};
    section.solids[0].emissivity = 0.5;
    section.sides[south] = wall(SideKind::isothermal, 400.0, 0.5);
    section.sides[west] = wall(SideKind::isothermal, 300.0, 0.5);
    section.sides[east] = wall(SideKind::isothermal, 300.0, 0.5);
    section.radiant_zone = zone;
    return solve(section, even_mesh(section, 64, 64), quiet_air(1.0)).from_side(south);
  };
  const double change[4] = {heat(0.25) - heat(0.125), heat(0.125) - heat(0.0625),
                            heat(0.0625) - heat(0.03125), heat(0.03125) - heat(0.015625)};
  // Irradiation goes like x^0.76 at the corner of two such walls (from the corner's integral
  // equation with xy / (2 (x^2 + y^2)^(3/2))), which adds a term of order 2 x 0.76 + 1 = 2.5 to
  // that of order 2. So the order is looked for where zones are finest, and over all three
  // halvings.
  CHECK(std::log2(change[2] / change[3]) > 1.9);
  CHECK(std::log2(change[0] / change[3]) / 3.0 > 1.9);
  CHECK(std::abs(change[0]) < 0.01 * heat(0.25));
}

TEST_CASE("Radiation: finer meshes converge with second order", "[radiation][order]") {
  // A board of low conductivity against the warm wall, heated in its lower half, radiates and
  // conducts to a cold wall: the temperature of its surface varies and is no unknown. (Walls that
  // float would meet cold ones in a singularity of the exact solution; there are none.)
  const auto heat = [](int n) {
    Section section = empty_box();
    section.sides[west] = wall(SideKind::isothermal, 350.0, 0.0);
    section.sides[east] = wall(SideKind::isothermal, 300.0, 0.7);
    section.solids = {solid({0.125, 0.25, 0.0, 1.0}, 2.0), solid({0.0, 0.125, 0.0, 0.5}, 2.0, 1.0),
                      solid({0.0, 0.125, 0.5, 1.0}, 2.0)};
    section.solids[0].emissivity = 0.85;
    section.radiant_zone = 100.0;
    return solve(section, even_mesh(section, n, n), quiet_air(1.0), 800.0).from_solid(0);
  };
  const double middle = heat(16) - heat(32);
  const double fine = heat(32) - heat(64);
  CHECK(std::log2(middle / fine) > 1.9);
}
