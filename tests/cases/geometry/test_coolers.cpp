// A cooler's description against the section that must come out of it, worked out by hand in mm.
#include "cases/geometry/cooler.hpp"
#include "cases/geometry/section_parts.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;
using tiltfin::tests::ContainsSubstring;
using tiltfin::tests::WithinAbs;
using tiltfin::tests::WithinRel;

namespace {

Board small_board() {
  return {0.002, 0.100, 0.005, 0.010, 0.4, 15.0};
}

Mount small_mount() {
  return {{0.003, 0.020, 130.0, 2e-5, 0.0}, 0.004, 0.030, 0.050, 0.080, 190.0};
}

/// Three plates: board 5..7, chip 7..10, base 10..14, plates 20..21, 26..27, 32..33 from the wall.
Stack three_plates() {
  return {small_mount(), 3, 0.001, 0.060, 0.005, 0.006, 4.0, {0.020, 0.040}, 0.006};
}

Block small_block() {
  return {small_mount(), 4, 0.003, 0.025};
}

/// 60 mm x 120 mm inside; with a margin the air round it is meshed.
Enclosure small_enclosure(double margin) {
  return {0.060, 0.120, 0.001, 45.0, margin, 295.0, {SideKind::film, 295.0, 7.0}};
}

const Solid& solid_named(const Section& section, const std::string& name) {
  for (const Solid& solid : section.solids) {
    if (solid.name == name) {
      return solid;
    }
  }
  throw std::runtime_error("no solid " + name);
}

bool has_solid(const Section& section, const std::string& name) {
  for (const Solid& solid : section.solids) {
    if (solid.name == name) {
      return true;
    }
  }
  return false;
}

void require_extent(const Rectangle& extent, const Rectangle& wanted) {
  CHECK_THAT(extent.x0, WithinAbs(wanted.x0, rounding));
  CHECK_THAT(extent.x1, WithinAbs(wanted.x1, rounding));
  CHECK_THAT(extent.y0, WithinAbs(wanted.y0, rounding));
  CHECK_THAT(extent.y1, WithinAbs(wanted.y1, rounding));
}

} // namespace

TEST_CASE("Stack: board, chip, base and plates follow each other along x", "[coolers]") {
  const Section section = section_of(three_plates(), small_board(), small_enclosure(0.0), {});
  CHECK_NOTHROW(check(section));
  CHECK(section.solids.size() == 6);
  // The cooler's centre: board at 10 mm, centre 50 mm above its end, so y = 60 mm.
  require_extent(solid_named(section, "board").extent, {0.005, 0.007, 0.010, 0.110});
  require_extent(solid_named(section, "chip").extent, {0.007, 0.010, 0.050, 0.070});
  require_extent(solid_named(section, "base").extent, {0.010, 0.014, 0.045, 0.075});
  require_extent(solid_named(section, "plate-1").extent, {0.020, 0.021, 0.030, 0.090});
  require_extent(solid_named(section, "plate-2").extent, {0.026, 0.027, 0.030, 0.090});
  require_extent(solid_named(section, "plate-3").extent, {0.032, 0.033, 0.030, 0.090});
  CHECK(section.depth == 0.080);
}

TEST_CASE("Stack: the chip releases the heat and the base is reported", "[coolers]") {
  const Section section = section_of(three_plates(), small_board(), small_enclosure(0.1), {});
  REQUIRE(section.base >= 0);
  CHECK(section.solids[static_cast<std::size_t>(section.base)].name == "base");
  for (const Solid& solid : section.solids) {
    CHECK(solid.heat_share == (solid.name == "chip" ? 1.0 : 0.0));
  }
  CHECK(solid_named(section, "chip").role == Role::source);
  CHECK(solid_named(section, "base").role == Role::base);
  CHECK(solid_named(section, "plate-2").role == Role::fin);
  CHECK(solid_named(section, "board").role == Role::board);
  CHECK(solid_named(section, "board").conductivity_x == 0.4);
  CHECK(solid_named(section, "board").conductivity_y == 15.0);
  REQUIRE(section.contacts.size() == 1);
  const Contact& contact = section.contacts.front();
  CHECK(section.solids[static_cast<std::size_t>(contact.solid_a)].name == "chip");
  CHECK(section.solids[static_cast<std::size_t>(contact.solid_b)].name == "base");
  CHECK(contact.resistance == 2e-5);
}

TEST_CASE("Stack: contacts are as deep as the chip, whose heat fills the section's depth",
          "[coolers]") {
  Stack stack = three_plates();
  stack.mount.chip.to_board = 4e-3;
  stack.mount.chip_depth = 0.25 * stack.mount.depth;
  const Section section = section_of(stack, small_board(), small_enclosure(0.1), {});
  REQUIRE(section.contacts.size() == 2);
  CHECK_THAT(section.contacts[0].resistance, WithinRel(8e-5, rounding));
  CHECK_THAT(section.contacts[1].resistance, WithinRel(16e-3, rounding));
}

TEST_CASE("Stack: the links of one plate add up to its conductance over the depth", "[coolers]") {
  const Section section = section_of(three_plates(), small_board(), small_enclosure(0.0), {});
  REQUIRE(section.links.size() == 6); // three plates, two columns
  for (int plate = 3; plate <= 5; ++plate) {
    double total = 0.0;
    for (const Link& link : section.links) {
      CHECK(link.solid_a == section.base);
      total += link.solid_b == plate ? link.conductance : 0.0;
    }
    CHECK_THAT(total, WithinRel(4.0 / 0.080, rounding));
  }
}

TEST_CASE("Stack: a column stands where it is said, or ends at the base's nearer end",
          "[coolers]") {
  Stack stack = three_plates();
  stack.column_positions = {0.005, 0.030}; // on the plate 35 mm and 60 mm; the base is 45 to 75 mm
  const Section section = section_of(stack, small_board(), small_enclosure(0.0), {});
  REQUIRE(section.links.size() == 6);
  CHECK(section.links[0].name == "column-1 plate-1");
  require_extent(section.links[0].patch_b, {0.020, 0.021, 0.032, 0.038});
  require_extent(section.links[0].patch_a, {0.010, 0.014, 0.045, 0.051});
  require_extent(section.links[1].patch_b, {0.020, 0.021, 0.057, 0.063});
  require_extent(section.links[1].patch_a, {0.010, 0.014, 0.057, 0.063});
}

TEST_CASE("Case: in a meshed room the walls are sheets inside the machine's outline", "[coolers]") {
  const Section section = section_of(three_plates(), small_board(), small_enclosure(0.1), {});
  CHECK_NOTHROW(check(section));
  CHECK_THAT(section.width, WithinAbs(0.262, rounding));  // 2 x 100 + 2 x 1 + 60 mm
  CHECK_THAT(section.height, WithinAbs(0.322, rounding)); // 2 x 100 + 2 x 1 + 120 mm
  REQUIRE(section.machine);
  require_extent(*section.machine, {0.100, 0.162, 0.100, 0.222});
  require_extent(solid_named(section, "wall-west").extent, {0.100, 0.101, 0.101, 0.221});
  require_extent(solid_named(section, "wall-east").extent, {0.161, 0.162, 0.101, 0.221});
  require_extent(solid_named(section, "wall-south").extent, {0.100, 0.162, 0.100, 0.101});
  require_extent(solid_named(section, "wall-north").extent, {0.100, 0.162, 0.221, 0.222});
  require_extent(solid_named(section, "board").extent, {0.106, 0.108, 0.111, 0.211});
  CHECK(solid_named(section, "wall-west").role == Role::wall);
  CHECK(solid_named(section, "wall-west").conductivity_x == 45.0);
  CHECK(section.openings.empty());
  for (const Side& side : section.sides) {
    CHECK(side.kind == SideKind::open);
    CHECK(side.temperature == 295.0);
  }
}

TEST_CASE("Case: a wall that is off is no solid, and its opening is reported", "[coolers]") {
  Walls walls;
  walls[east].open = true;
  walls[north].open = true;
  const Section section = section_of(three_plates(), small_board(), small_enclosure(0.1), walls);
  CHECK_NOTHROW(check(section));
  CHECK(has_solid(section, "wall-west"));
  CHECK_FALSE(has_solid(section, "wall-east"));
  CHECK(has_solid(section, "wall-south"));
  CHECK_FALSE(has_solid(section, "wall-north"));
  REQUIRE(section.openings.size() == 2);
  CHECK(section.openings[0].name == "panel-east");
  require_extent(section.openings[0].line, {0.161, 0.161, 0.101, 0.221});
  CHECK(section.openings[1].name == "panel-north");
  require_extent(section.openings[1].line, {0.101, 0.161, 0.221, 0.221});
  REQUIRE(section.machine);
  require_extent(*section.machine, {0.100, 0.162, 0.100, 0.222});
}

TEST_CASE("Case: without a meshed room its walls are the sides of the section", "[coolers]") {
  Walls walls;
  walls[east].open = true;
  const Section section = section_of(small_block(), small_board(), small_enclosure(0.0), walls);
  CHECK(section.width == 0.060);
  CHECK(section.height == 0.120);
  CHECK_FALSE(section.machine);
  CHECK(section.openings.empty());
  CHECK(section.sides[west].kind == SideKind::film);
  CHECK(section.sides[west].film == 7.0);
  CHECK(section.sides[east].kind == SideKind::open);
  CHECK(section.sides[east].temperature == 295.0);
  CHECK(section.sides[north].kind == SideKind::film);
}

TEST_CASE("Block: fins stand on the base, evenly, flush with its ends", "[coolers]") {
  const Section section = section_of(small_block(), small_board(), small_enclosure(0.0), {});
  CHECK_NOTHROW(check(section));
  CHECK(section.links.empty());
  // Base from 45 to 75 mm, four fins of 3 mm: gaps (30 - 12) / 3 = 6 mm, pitch 9 mm.
  require_extent(solid_named(section, "fin-1").extent, {0.014, 0.039, 0.045, 0.048});
  require_extent(solid_named(section, "fin-2").extent, {0.014, 0.039, 0.054, 0.057});
  require_extent(solid_named(section, "fin-4").extent, {0.014, 0.039, 0.072, 0.075});
  CHECK(fin_gaps(section).size() == 3);
  CHECK(solid_named(section, "fin-1").extent.x0 == solid_named(section, "base").extent.x1);
}

TEST_CASE("Block: a lone fin stands in the middle of its base", "[coolers]") {
  Block block = small_block();
  block.fins = 1;
  const Section section = section_of(block, small_board(), small_enclosure(0.0), {});
  require_extent(solid_named(section, "fin-1").extent, {0.014, 0.039, 0.0585, 0.0615});
}

TEST_CASE("Cooler: what does not fit is refused with the place found and the place allowed",
          "[coolers]") {
  Stack stack = three_plates();
  stack.plate_gap = 0.040;
  CHECK_THROWS_WITH(section_of(stack, small_board(), small_enclosure(0.1), {}),
                    "found plate-2 at 61 to 62 mm along x, allowed 0 to 60 mm (inside the case, "
                    "from its west wall)");
  stack = three_plates();
  stack.plate_length = 0.130;
  CHECK_THROWS_WITH(section_of(stack, small_board(), small_enclosure(0.0), {}),
                    "found plate-1 at -5 to 125 mm along y, allowed 0 to 120 mm (inside the case, "
                    "from its south wall)");
  stack = three_plates();
  stack.mount.centre = 0.095;
  stack.plate_length = 0.020;
  stack.column_positions = {0.010};
  CHECK_THROWS_WITH(section_of(stack, small_board(), small_enclosure(0.0), {}),
                    "found a chip at 85 to 105 mm on the board, allowed 0 to 100 mm (the board)");
  stack = three_plates();
  stack.column_positions = {0.001};
  CHECK_THROWS_WITH(section_of(stack, small_board(), small_enclosure(0.0), {}),
                    "found a column at -2 to 4 mm on the plate, allowed 0 to 60 mm (the plate)");
  stack = three_plates();
  stack.column_width = 0.031;
  CHECK_THROWS_WITH(section_of(stack, small_board(), small_enclosure(0.0), {}),
                    ContainsSubstring("found columns 31 mm wide, allowed at most the base"));
  Board board = small_board();
  board.bottom = 0.030;
  CHECK_THROWS_WITH(section_of(small_block(), board, small_enclosure(0.0), {}),
                    ContainsSubstring("found board at 30 to 130 mm along y"));
}

TEST_CASE("Edges: coordinates that differ by rounding become equal, others stay", "[coolers]") {
  Section section;
  section.width = 0.3;
  section.height = 0.1;
  section.solids.push_back({"a", {0.0, 0.1, -1e-18, 0.05}, 1.0, 1.0, 0.0, Role::other});
  section.solids.push_back({"b", {0.1 + 1e-16, 0.1 + 0.2, 0.05, 0.1}, 1.0, 1.0, 0.0, Role::other});
  REQUIRE(section.solids[1].extent.x1 != section.width); // 0.1 + 0.2 is not 0.3
  snap_edges(section);
  CHECK(section.solids[0].extent.x1 == section.solids[1].extent.x0);
  CHECK(section.solids[1].extent.x1 == section.width);
  CHECK(section.solids[0].extent.y0 == 0.0);
  CHECK(section.solids[0].extent.y1 == 0.05);
}

TEST_CASE("Block: fins along the board are a medium on the base", "[coolers]") {
  Block block = small_block();
  block.along = true;
  block.fin_gap = 0.004;
  block.mount.emissivity = 0.82;
  const Section section = section_of(block, small_board(), small_enclosure(0.0), {});
  CHECK_NOTHROW(check(section));
  CHECK(section.solids.size() == 3); // board, chip, base
  REQUIRE(section.media.size() == 1);
  const FinMedium& fins = section.media[0];
  CHECK(fins.name == "fins");
  // From the base's face over the fins' height, as long as the base.
  require_extent(fins.extent, {0.014, 0.039, 0.045, 0.075});
  CHECK(fins.gap == 0.004);
  CHECK(fins.fin_thickness == 0.003);
  CHECK(fins.conductivity == 190.0);
  CHECK(fins.emissivity == 0.82);
  block.fin_height = 0.047;
  CHECK_THROWS_WITH(section_of(block, small_board(), small_enclosure(0.0), {}),
                    ContainsSubstring("found fins at 14 to 61 mm along x"));
}

TEST_CASE("Case: a wall may be a grille, with and without a meshed room", "[coolers]") {
  Walls walls;
  walls[north].grille = grille_losses(0.4, 0.003, 0.001);
  const Section meshed = section_of(small_block(), small_board(), small_enclosure(0.1), walls);
  CHECK_NOTHROW(check(meshed));
  CHECK_FALSE(has_solid(meshed, "wall-north"));
  CHECK(has_solid(meshed, "wall-east"));
  REQUIRE(meshed.grilles.size() == 1);
  CHECK(meshed.grilles[0].name == "grille-north");
  require_extent(meshed.grilles[0].line, {0.101, 0.161, 0.221, 0.221});
  CHECK(meshed.grilles[0].linear == walls[north].grille->linear);
  REQUIRE(meshed.openings.size() == 1);
  CHECK(meshed.openings[0].name == "grille-north");

  const Section closed = section_of(small_block(), small_board(), small_enclosure(0.0), walls);
  CHECK_NOTHROW(check(closed));
  CHECK(closed.sides[north].kind == SideKind::open);
  REQUIRE(closed.grilles.size() == 1);
  require_extent(closed.grilles[0].line, {0.0, 0.060, 0.120, 0.120});
}

TEST_CASE("Ring: fins above and below the core spread with the distance from its axis",
          "[coolers]") {
  Ring ring;
  ring.mount = small_mount(); // core of 30 mm, base 4 mm, on the centre at 60 mm
  ring.fins = 30;
  ring.fin_thickness = 0.001;
  ring.fin_height = 0.025;
  ring.outer_diameter = 0.080;
  ring.mount.emissivity = 0.82;
  const Section section = section_of(ring, small_board(), small_enclosure(0.0), {});
  CHECK_NOTHROW(check(section));
  require_extent(solid_named(section, "base").extent, {0.010, 0.039, 0.045, 0.075});
  REQUIRE(section.media.size() == 2);
  require_extent(section.media[0].extent, {0.014, 0.039, 0.020, 0.045});
  require_extent(section.media[1].extent, {0.014, 0.039, 0.075, 0.100});
  const double pi = std::acos(-1.0);
  CHECK_THAT(section.depth, WithinRel(pi * 0.0275, 1e-12)); // half of 2 pi r at r = 27.5 mm
  for (const FinMedium& fins : section.media) {
    // Circumference over 30 fins, less a fin, at the core and at the rim.
    CHECK(fins.emissivity == 0.82);
    const bool north = fins.name == "fins-north";
    CHECK_THAT(fins.gap_at(north ? 0.075 : 0.045), WithinRel(2.0 * pi * 0.015 / 30 - 0.001, 1e-9));
    CHECK_THAT(fins.gap_at(north ? 0.100 : 0.020), WithinRel(2.0 * pi * 0.040 / 30 - 0.001, 1e-9));
  }
  ring.fins = 100;
  CHECK_THROWS_WITH(section_of(ring, small_board(), small_enclosure(0.0), {}),
                    ContainsSubstring("allowed fins that leave air between them"));
}
