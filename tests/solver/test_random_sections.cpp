// The sections of the random bench (tests/bench/bench_random.cpp), not their solutions.
#include "tests/bench/random_sections.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr std::uint32_t seed = 1;
constexpr int count = 300;

/// Visits the bench's own sections.
template <class Visit>
void for_each_section(Visit visit) {
  for (int k = 1; k <= count; ++k) {
    INFO("section " << k);
    visit(random_section(seed, k));
  }
}

bool is_share(double emissivity) {
  return emissivity >= 0.0 && emissivity <= 1.0;
}

/// All that the section releases, over its power.
double released_share(const Section& section) {
  double sum = 0.0;
  for (const Solid& solid : section.solids) {
    sum += solid.heat_share;
  }
  for (const FinMedium& medium : section.media) {
    sum += medium.heat_share;
  }
  return sum;
}

bool can_give_heat_off(const Section& section) {
  return std::ranges::any_of(section.sides, [](const Side& side) {
    return side.kind == SideKind::open || side.kind == SideKind::isothermal ||
           side.kind == SideKind::film;
  });
}

} // namespace

TEST_CASE("a random section is the same whenever its number and seed are") {
  for (const int k : {1, 2, 3, 50}) {
    const RandomSection one = random_section(seed, k);
    (void)random_section(seed, k + 1);
    const RandomSection again = random_section(seed, k);
    CHECK(one.kind == again.kind);
    CHECK(one.condition.power == again.condition.power);
    CHECK(one.condition.gravity_x == again.condition.gravity_x);
    CHECK(one.section.width == again.section.width);
    CHECK(one.resolution.wall_cell == again.resolution.wall_cell);
    CHECK(one.section.solids.size() == again.section.solids.size());
    CHECK(random_section(seed, k + 1).condition.power != one.condition.power);
    CHECK(random_section(seed + 1, k).condition.power != one.condition.power);
  }
}

TEST_CASE("section 1 of seed 1 is what it was on the machine that drew it first") {
  const RandomSection first = random_section(1, 1);
  CHECK(std::string(name(first.kind)) == "room");
  CHECK(first.fins == 5);
  CHECK(std::lround(1e6 * first.gap) == 26466);
  CHECK(std::lround(1e6 * first.section.width) == 352777);
  CHECK(std::lround(1e6 * first.section.height) == 404573);
  CHECK(std::lround(1e6 * first.condition.power) == 47293228);
}

TEST_CASE("random sections are legal, can be meshed and can give their heat off") {
  for_each_section([](const RandomSection& random) {
    REQUIRE_NOTHROW(check(random.section));
    const TensorMesh mesh = make_mesh(random.section, random.resolution);
    CHECK(mesh.n_cells() <= most_cells);
    CHECK(mesh.n_cells() > 500); // fewer would be no picture of fins
    CHECK_THAT(released_share(random.section), WithinAbs(1.0, 1e-12)); // a dozen rounded shares
    CHECK(can_give_heat_off(random.section));
  });
}

TEST_CASE("random sections stay in their ranges and reach far into them") {
  std::set<Kind> kinds;
  std::set<int> fins;
  int radiant = 0;
  int with_base = 0;
  double weakest = 1e9;
  double strongest = 0.0;
  for_each_section([&](const RandomSection& random) {
    kinds.insert(random.kind);
    fins.insert(random.fins);
    CHECK(random.gap >= 1e-3);
    CHECK(random.gap <= 30e-3);
    CHECK(random.tilt >= 0.0);
    CHECK(random.tilt < 360.0);
    CHECK(random.condition.power >= 1.0);
    CHECK(random.condition.power <= 500.0);
    weakest = std::min(weakest, random.condition.power);
    strongest = std::max(strongest, random.condition.power);
    CHECK_THAT(std::hypot(random.condition.gravity_x, random.condition.gravity_y),
               WithinRel(standard_gravity, 1e-12)); // of a rounded unit vector
    CHECK((random.kind == Kind::bundle) == !random.section.media.empty());
    CHECK((random.kind != Kind::room || random.section.machine));
    bool emits = false;
    for (const Side& side : random.section.sides) {
      CHECK(is_share(side.emissivity));
    }
    for (const Solid& solid : random.section.solids) {
      CHECK(is_share(solid.emissivity));
      emits = emits || solid.emissivity > 0.0;
      with_base += solid.role == Role::base ? 1 : 0;
      if (solid.role == Role::fin) {
        CHECK(solid.conductivity_x >= 15.0);
        CHECK(solid.conductivity_x <= 400.0);
        CHECK(solid.extent.height() > 0.8e-3 - 1e-9); // rounding of a difference
        CHECK(solid.extent.height() < 3e-3 + 1e-9);
        CHECK(solid.extent.width() > 10e-3 - 1e-9);
        CHECK(solid.extent.width() < 80e-3 + 1e-9);
      }
    }
    radiant += emits ? 1 : 0;
  });
  CHECK(kinds.size() == 4);
  CHECK(fins.size() == 11);
  CHECK(*fins.begin() == 2);
  CHECK(*fins.rbegin() == 12);
  // A quarter at least of what half of them should have: eight standard deviations away.
  CHECK(radiant > count / 4);
  CHECK(with_base > count / 4);
  CHECK(with_base < count - count / 4);
  // The lowest and the highest tenth of the octaves: no such section in 300 has a chance of 1e-13.
  CHECK(weakest < std::pow(500.0, 0.1));
  CHECK(strongest > std::pow(500.0, 0.9));
}
