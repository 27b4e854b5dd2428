// View factors between coaxial rings against the closed forms of catalogues (Howell, A Catalog of
// Radiation Heat Transfer Configuration Factors, from memory; those for discs and for the inside of
// a cylinder are in every textbook).
#include "solver/radiation.hpp"
#include "solver/ring_factors.hpp"
#include "tests/solver/fixtures.hpp"

#include <array>
#include <initializer_list>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double circle = std::numbers::pi;
// Cut into eight rings with four points each, a surface is seen from points some 1/32 of its width
// apart: a midpoint rule's (1/32)^2 / 24 would be 4e-5 of what the view changes by, ten times that
// where surfaces touch and the view bends within a step.
constexpr double cut_in_eight = 5e-4;

/// One scene in groups of rings.
struct Rings {
  std::vector<Strip> strips;
  std::vector<int> first{0}; ///< of every group, and one more

  /// A group of `n` rings from one end to the other, which look to their left.
  void add(const Strip& whole, int n = 8) {
    for (int k = 0; k < n; ++k) {
      const auto at = [&](double from, double to, int part) {
        return from == to ? from : from + (to - from) * part / n;
      };
      strips.push_back({at(whole.x0, whole.x1, k), at(whole.y0, whole.y1, k),
                        at(whole.x0, whole.x1, k + 1), at(whole.y0, whole.y1, k + 1)});
    }
    first.push_back(static_cast<int>(strips.size()));
  }

  /// A F between two groups [m2].
  [[nodiscard]] double exchange(const ViewFactors& factors, int a, int b) const {
    double sum = 0.0;
    for (int i = first[at(a)]; i < first[at(a) + 1]; ++i) {
      for (int j = first[at(b)]; j < first[at(b) + 1]; ++j) {
        sum += factors.at(i, j);
      }
    }
    return sum;
  }

  [[nodiscard]] double area(int group) const {
    double sum = 0.0;
    for (int k = first[at(group)]; k < first[at(group) + 1]; ++k) {
      sum += ring_area(strips[at(k)]);
    }
    return sum;
  }
};

/// From a disc of radius r1 to one of r2, coaxial, a distance h apart.
double disc_to_disc(double r1, double r2, double h) {
  const double s = 1.0 + (h * h + r2 * r2) / (r1 * r1);
  return 0.5 * (s - std::sqrt(s * s - 4.0 * r2 * r2 / (r1 * r1)));
}

/// A drum: disc west, disc east, wall.
Rings drum(double length, double radius) {
  Rings rings;
  rings.add({0.0, radius, 0.0, 0.0});
  rings.add({length, 0.0, length, radius});
  rings.add({length, radius, 0.0, radius});
  return rings;
}

/// The space between two cylinders: ends west and east, inner wall, outer wall.
Rings between_cylinders(double length, double inner, double outer, int along = 8) {
  Rings rings;
  rings.add({0.0, outer, 0.0, inner});
  rings.add({length, inner, length, outer});
  rings.add({0.0, inner, length, inner}, along);
  rings.add({length, outer, 0.0, outer}, along);
  return rings;
}

} // namespace

TEST_CASE("Ring factors: two coaxial discs, and the cylinder between them", "[ring_factors]") {
  for (const double length : {0.3, 1.0, 4.0}) {
    CAPTURE(length);
    const Rings rings = drum(length, 0.7);
    const ViewFactors factors = ring_view_factors(rings.strips);
    const double discs = disc_to_disc(0.7, 0.7, length);
    CHECK_THAT(rings.exchange(factors, 0, 1) / rings.area(0), WithinAbs(discs, cut_in_eight));
    // By reciprocity and closure from the discs: F of the wall to itself.
    const double itself = 1.0 - 2.0 * rings.area(0) * (1.0 - discs) / rings.area(2);
    CHECK_THAT(rings.exchange(factors, 2, 2) / rings.area(2), WithinAbs(itself, cut_in_eight));
    // The same as catalogues print it: 1 + H - sqrt(1 + H^2) with H the length over the diameter.
    const double h = length / 1.4;
    CHECK_THAT(itself, WithinAbs(1.0 + h - std::hypot(1.0, h), rounding));
    CHECK(rings.exchange(factors, 0, 0) == 0.0);
  }
}

TEST_CASE("Ring factors: discs of two sizes, and the annulus round one of them", "[ring_factors]") {
  // A drum whose east end is a disc of 0.3 in an annulus up to 0.7, and whose west end is whole.
  Rings rings;
  rings.add({0.0, 0.7, 0.0, 0.0});
  rings.add({0.5, 0.0, 0.5, 0.3});
  rings.add({0.5, 0.3, 0.5, 0.7});
  rings.add({0.5, 0.7, 0.0, 0.7});
  const ViewFactors factors = ring_view_factors(rings.strips);
  const double to_disc = disc_to_disc(0.7, 0.3, 0.5);
  const double to_whole = disc_to_disc(0.7, 0.7, 0.5);
  CHECK_THAT(rings.exchange(factors, 0, 1) / rings.area(0), WithinAbs(to_disc, cut_in_eight));
  CHECK_THAT(rings.exchange(factors, 0, 2) / rings.area(0),
             WithinAbs(to_whole - to_disc, cut_in_eight));
}

TEST_CASE("Ring factors: concentric cylinders of finite length", "[ring_factors]") {
  for (const auto& [length, inner, outer] :
       {std::array{1.0, 0.2, 0.5}, std::array{0.4, 0.3, 0.4}, std::array{3.0, 0.1, 1.0}}) {
    CAPTURE(length, inner, outer);
    const Rings rings = between_cylinders(length, inner, outer);
    const ViewFactors factors = ring_view_factors(rings.strips);
    const double r = outer / inner;
    const double h = length / inner;
    const double a = h * h + r * r - 1.0;
    const double b = h * h - r * r + 1.0;
    const double to_inner =
        (1.0 - (std::acos(b / a) -
                (std::sqrt((a + 2.0) * (a + 2.0) - 4.0 * r * r) * std::acos(b / (r * a)) +
                 b * std::asin(1.0 / r) - 0.5 * circle * a) /
                    (2.0 * h)) /
                   circle) /
        r;
    const double root = std::sqrt(4.0 * r * r + h * h) / h;
    const double q = r * r - 1.0;
    const double to_itself =
        1.0 - 1.0 / r + 2.0 / (circle * r) * std::atan(2.0 * std::sqrt(q) / h) -
        h / (2.0 * circle * r) *
            (root * std::asin((4.0 * q + h * h / (r * r) * (r * r - 2.0)) / (h * h + 4.0 * q)) -
             std::asin((r * r - 2.0) / (r * r)) + 0.5 * circle * (root - 1.0));
    CHECK_THAT(rings.exchange(factors, 3, 2) / rings.area(3), WithinAbs(to_inner, cut_in_eight));
    CHECK_THAT(rings.exchange(factors, 3, 3) / rings.area(3), WithinAbs(to_itself, cut_in_eight));
  }
}

TEST_CASE("Ring factors: long concentric cylinders", "[ring_factors]") {
  // F21 = r1 / r2 and F22 = 1 - r1 / r2 but for the ends, whose area is 1/400 of the outer wall's.
  const Rings rings = between_cylinders(100.0, 0.5, 1.0, 40);
  const ViewFactors factors = ring_view_factors(rings.strips);
  CHECK_THAT(rings.exchange(factors, 3, 2) / rings.area(3), WithinAbs(0.5, 1.0 / 200.0));
  CHECK_THAT(rings.exchange(factors, 3, 3) / rings.area(3), WithinAbs(0.5, 1.0 / 200.0));
}

TEST_CASE("Ring factors: a plate with a hole between two discs", "[ring_factors]") {
  // A drum of 0.8 with a plate of no thickness halfway whose hole has a radius of 0.3: the discs
  // see each other through it. A disc's view of the far one is what it sends through the hole less
  // what of it meets the far wall: by algebra from discs to the hole, no closed form. Compared with
  // a tenfold finer sampling.
  Rings rings;
  rings.add({0.0, 0.7, 0.0, 0.0});
  rings.add({0.8, 0.0, 0.8, 0.7});
  rings.add({0.4, 0.7, 0.0, 0.7});
  rings.add({0.8, 0.7, 0.4, 0.7});
  rings.add({0.4, 0.3, 0.4, 0.7});
  rings.add({0.4, 0.7, 0.4, 0.3});
  const ViewFactors factors = ring_view_factors(rings.strips);
  const ViewFactors fine = ring_view_factors(rings.strips, {5, 192});
  CHECK_THAT(rings.exchange(factors, 0, 1) / rings.area(0),
             WithinAbs(rings.exchange(fine, 0, 1) / rings.area(0), cut_in_eight));
  // All that leaves the west half goes through the hole: exchange of a disc with the hole.
  const double through =
      rings.exchange(factors, 0, 1) + rings.exchange(factors, 0, 3) + rings.exchange(factors, 0, 5);
  CHECK_THAT(through / rings.area(0), WithinAbs(disc_to_disc(0.7, 0.3, 0.4), cut_in_eight));
}

TEST_CASE("Ring factors: every factor is reciprocal, none negative, all rows close",
          "[ring_factors]") {
  Rings rings = between_cylinders(1.0, 0.2, 0.9, 5);
  rings.add({0.4, 0.4, 0.4, 0.6}, 2); // a ring of its own in the way: west, east, inner, outer face
  rings.add({0.5, 0.6, 0.5, 0.4}, 2);
  rings.add({0.5, 0.4, 0.4, 0.4}, 2);
  rings.add({0.4, 0.6, 0.5, 0.6}, 2);
  const ViewFactors factors = ring_view_factors(rings.strips);
  for (int i = 0; i < factors.n; ++i) {
    double sum = 0.0;
    for (int j = 0; j < factors.n; ++j) {
      CHECK(factors.at(i, j) == factors.at(j, i));
      CHECK(factors.at(i, j) >= 0.0);
      sum += factors.at(i, j);
    }
    CHECK_THAT(sum / ring_area(rings.strips[at(i)]), WithinAbs(1.0, 1e-10));
  }
  CHECK(factors.raw_closure > 0.0);
  CHECK(factors.raw_closure < 0.05); // of rings as wide as a fifth of the scene
}

TEST_CASE("Ring factors: a scene with a hole and slanting strips are refused", "[ring_factors]") {
  Rings rings = drum(1.0, 0.7);
  rings.strips.pop_back();
  CHECK_THROWS_AS(ring_view_factors(rings.strips), std::invalid_argument);
  rings.strips.push_back({1.0, 0.7, 0.0, 0.5});
  CHECK_THROWS_AS(ring_view_factors(rings.strips), std::invalid_argument);
}

namespace {

/// A body of revolution between walls that radiate, in still air.
Section radiant_round(double width, double height, double axis_distance) {
  Section section = empty_box(width, height);
  section.axis_distance = axis_distance;
  section.depth = 2.0 * circle * (axis_distance + height);
  return section;
}

Side grey(double temperature, double emissivity) {
  return {SideKind::isothermal, temperature, 0.0, emissivity};
}

struct RadiantRound {
  Problem problem;
  std::vector<double> heat; ///< per radiant face [W/m]
};

RadiantRound solve_round(const Section& section, int nx, int ny) {
  const TensorMesh mesh =
      mesh_on(section, graded_axis(section.width, nx, 0.0), graded_axis(section.height, ny, 0.0));
  AirProperties air = round_air();
  air.conductivity = 1e-3;
  RadiantRound solved{make_problem(section, mesh, {}, air), {}};
  const Unknowns unknowns = number_unknowns(solved.problem);
  const State state = unpack(
      unknowns, newton(solved.problem, unknowns, pack(unknowns, rest_state(solved.problem, room))));
  solved.heat = radiant_heat(solved.problem, state);
  return solved;
}

} // namespace

TEST_CASE("Ring factors: long grey cylinders exchange by the textbook's formula",
          "[ring_factors]") {
  // q = A1 sigma (T1^4 - T2^4) / (1/e1 + A1/A2 (1/e2 - 1)). In the middle of cylinders 60 gaps
  // long, whose reflecting ends are seen under (gap / distance)^2 = 1e-3 of the view.
  for (const auto& [e1, e2] : {std::array{0.9, 0.9}, std::array{0.2, 0.7}}) {
    CAPTURE(e1, e2);
    Section section = radiant_round(60.0, 1.0, 0.5);
    section.sides[south] = grey(400.0, e1);
    section.sides[north] = grey(300.0, e2);
    section.radiant_zone = 1.0;
    const RadiantRound solved = solve_round(section, 60, 2);
    double heat = 0.0;
    double area = 0.0;
    for (std::size_t k = 0; k < solved.heat.size(); ++k) {
      const RadiantFace& face = solved.problem.radiant_faces[k];
      const RadiantZone& zone = solved.problem.radiation->zones[at(face.zone)];
      if (zone.side == south && std::abs(zone.strip.x0 - 30.0) < 5.0) {
        heat += solved.heat[k];
        area += face.area;
      }
    }
    const double black = stefan_boltzmann * (std::pow(400.0, 4) - std::pow(300.0, 4));
    const double expected = black / (1.0 / e1 + 0.5 / 1.5 * (1.0 / e2 - 1.0));
    CHECK_THAT(heat / area, WithinRel(expected, 2e-3));
  }
}

TEST_CASE("Ring factors: what leaves a body in a drum arrives at its walls", "[ring_factors]") {
  Section section = radiant_round(1.0, 0.7, 0.0);
  section.sides[south].kind = SideKind::symmetry;
  section.sides[west] = {SideKind::open, 300.0};
  section.sides[east] = grey(320.0, 0.4);
  section.sides[north] = grey(310.0, 0.8);
  section.solids = {solid({0.4, 0.6, 0.0, 0.3}, 5.0, 1.0)};
  section.solids[0].emissivity = 0.9;
  section.solids[0].power = 40.0;
  const RadiantRound solved = solve_round(section, 20, 21);
  double sum = 0.0;
  double gross = 0.0;
  for (const double heat : solved.heat) {
    sum += heat;
    gross += std::abs(heat);
  }
  CHECK(gross > 1.0);
  CHECK(std::abs(sum) < 1e-9 * gross); // closed to 1e-10, reciprocal to rounding
  // Zones have the areas of their rings.
  std::vector<double> faces(at(solved.problem.radiation->n()), 0.0);
  for (const RadiantFace& face : solved.problem.radiant_faces) {
    faces[at(face.zone)] += face.area;
  }
  for (int k = 0; k < solved.problem.radiation->n(); ++k) {
    const RadiantZone& zone = solved.problem.radiation->zones[at(k)];
    CHECK_THAT(faces[at(k)], WithinRel(zone.area, 1e-12));
    CHECK(zone.strip.y0 + zone.strip.y1 > 0.0); // none on the axis
  }
}

TEST_CASE("Ring factors: a mirror across the axis stands for the other half", "[ring_factors]") {
  const auto warm = [](bool half) {
    Section section = radiant_round(half ? 0.5 : 1.0, 0.7, 0.0);
    section.sides[south].kind = SideKind::symmetry;
    section.sides[west] = grey(350.0, 0.6);
    section.sides[east] = half ? Side{SideKind::symmetry, room} : grey(350.0, 0.6);
    section.sides[north] = grey(300.0, 0.8);
    section.solids = {solid({0.2, 0.3, 0.0, 0.3}, 5.0)};
    if (!half) {
      section.solids.push_back(solid({0.7, 0.8, 0.0, 0.3}, 5.0));
    }
    for (Solid& disc : section.solids) {
      disc.emissivity = 0.9;
    }
    section.radiant_zone = 0.1;
    const RadiantRound solved = solve_round(section, half ? 10 : 20, 14);
    double heat = 0.0;
    for (std::size_t k = 0; k < solved.heat.size(); ++k) {
      const RadiantZone& zone =
          solved.problem.radiation->zones[at(solved.problem.radiant_faces[k].zone)];
      heat += zone.is_side() && zone.side == west ? solved.heat[k] : 0.0;
    }
    return heat;
  };
  CHECK_THAT(warm(true), WithinRel(warm(false), 1e-9)); // the corrections of both scenes are alike
}

TEST_CASE("Ring factors: far from the axis rings are strips", "[ring_factors]") {
  // A box of 1 x 0.7 with a block, a thousand times its size from the axis: curvature of 1e-3.
  std::vector<Strip> strips{{0.0, 0.0, 1.0, 0.0}, {1.0, 0.0, 1.0, 0.7}, {1.0, 0.7, 0.0, 0.7},
                            {0.0, 0.7, 0.0, 0.0}, {0.6, 0.2, 0.3, 0.2}, {0.6, 0.4, 0.6, 0.2},
                            {0.3, 0.4, 0.6, 0.4}, {0.3, 0.2, 0.3, 0.4}};
  const ViewFactors plane = view_factors(strips, 64);
  constexpr double far = 1000.0;
  for (Strip& strip : strips) {
    strip.y0 += far;
    strip.y1 += far;
  }
  const ViewFactors round = ring_view_factors(strips, {16, 48});
  for (int i = 0; i < 8; ++i) {
    for (int j = 0; j < 8; ++j) {
      CAPTURE(i, j);
      CHECK_THAT(round.at(i, j) / (2.0 * circle * far), WithinAbs(plane.at(i, j), 2e-3));
    }
  }
}
