// Case files: what is read, in SI units, and every refusal with its message.
#include "cases/case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

using namespace tiltfin;
using tiltfin::tests::ContainsSubstring;
using tiltfin::tests::WithinAbs;
using tiltfin::tests::WithinRel;

namespace {

constexpr double rounding = 1e-12;

const std::string stack_text = R"(title = "test stack"
[room]
temperature_c = 20
margin_mm = 50
[conditions]
powers_w = [30, 10]
orientations = ["upright", 30]
[case]
width_mm = 60
height_mm = 120
[[case.panel]]
name = "on"
open = []
[[case.panel]]
name = "off"
open = ["east"]
[board]
thickness_mm = 2
height_mm = 100
behind_mm = 5
[stack]
chip_thickness_mm = 3
chip_length_mm = 20
base_thickness_mm = 4
base_length_mm = 30
plates = 3
plate_thickness_mm = 1
plate_gap_mm = 5
plate_length_mm = 60
depth_mm = 80
conductance_w_per_k = 4
column_positions_mm = [20, 40]
column_width_mm = 6
)";

const std::string block_text = R"([conditions]
powers_w = [5]
[case]
width_mm = 60
height_mm = 120
[board]
thickness_mm = 2
height_mm = 100
[block]
chip_thickness_mm = 3
chip_length_mm = 20
base_thickness_mm = 4
base_length_mm = 30
fins = 4
fin_thickness_mm = 3
fin_height_mm = 25
depth_mm = 80
)";

const std::string drawn_text = R"([conditions]
powers_w = [20]
[section]
width_mm = 100
height_mm = 80
depth_mm = 500
[sides.west]
kind = "isothermal"
temperature_c = 30
[sides.east]
kind = "film"
film_w_per_m2k = 12
outside_c = 15
[sides.north]
kind = "open"
outside_c = 10
[sides.south]
kind = "symmetry"
[[solid]]
name = "heater"
x_mm = [20, 24]
y_mm = [30, 50]
conductivity_w_per_mk = [5, 50]
heat_share = 1
role = "source"
[[solid]]
name = "spreader"
x_mm = [24, 30]
y_mm = [20, 60]
conductivity_w_per_mk = 200
[[solid]]
name = "far"
x_mm = [60, 70]
y_mm = [20, 60]
conductivity_w_per_mk = 200
[[contact]]
between = ["heater", "spreader"]
resistance_m2k_per_w = 1e-4
[[link]]
name = "pipe"
between = ["spreader", "far"]
conductance_w_per_k = 3
patch_a_y_mm = [30, 40]
)";

/// `text` with the first `from` replaced.
std::string edited(std::string text, const std::string& from, const std::string& to) {
  const std::size_t place = text.find(from);
  if (place == std::string::npos) {
    throw std::runtime_error("the test's text does not hold '" + from + "'");
  }
  return text.replace(place, from.size(), to);
}

/// The message with which `text` is refused; empty when it is not.
std::string refusal(const std::string& text) {
  try {
    const Case unused = parse_case(text, "t.toml");
    return "";
  } catch (const InputError& error) {
    return error.what();
  }
}

bool has_default(const Case& the_case, const std::string& line) {
  return std::ranges::find(the_case.defaults, line) != the_case.defaults.end();
}

struct Fault {
  const std::string& text;
  std::string from;
  std::string to;
  std::string message;
};

void check_faults(const std::vector<Fault>& faults) {
  for (const Fault& fault : faults) {
    CAPTURE(fault.from, fault.to);
    CHECK(refusal(edited(fault.text, fault.from, fault.to)) == fault.message);
  }
}

} // namespace

TEST_CASE("Case: a stack is read in SI units, powers ascending", "[case]") {
  const Case the_case = parse_case(stack_text, "t.toml");
  CHECK(the_case.title == "test stack");
  CHECK_THAT(the_case.room_temperature, WithinAbs(293.15, rounding));
  CHECK_THAT(the_case.limit_temperature, WithinAbs(373.15, rounding));
  CHECK(the_case.powers == std::vector<double>{10.0, 30.0});
  REQUIRE(the_case.orientations.size() == 2);
  CHECK(the_case.orientations[0].name == "upright");
  CHECK(the_case.orientations[1].name == "tilt-30");
  CHECK_THAT(the_case.orientations[1].down[0], WithinAbs(-0.5, rounding)); // -sin 30
  CHECK_FALSE(the_case.air);
  REQUIRE(the_case.panels.size() == 2);
  CHECK(the_case.panels[0].name == "on");
  CHECK(the_case.panels[1].name == "off");
  const Section& on = the_case.panels[0].section;
  const Section& off = the_case.panels[1].section;
  CHECK(on.solids.size() == off.solids.size() + 1); // the east wall
  CHECK(on.links.size() == 6);
  CHECK(on.depth == 0.08);
  CHECK(off.openings.size() == 1);
  CHECK_THAT(on.width, WithinAbs(0.162, rounding)); // 2 x (50 + 1) + 60 mm
  CHECK_THAT(on.sides[north].temperature, WithinAbs(293.15, rounding));
  CHECK_FALSE(the_case.notes.empty());
}

TEST_CASE("Case: every key that is not given is listed with its value", "[case]") {
  const Case the_case = parse_case(stack_text, "t.toml");
  for (const char* line : {"limit.temperature_c = 100 (default)",
                           "limit.die_to_base_k_per_w = 0 (default)",
                           "room.calm_factor = 10 (default)",
                           "room.calm_start_mm = 15 (default)",
                           "room.calm_width_mm = 100 (default)",
                           "case.wall_thickness_mm = 1 (default)",
                           "case.wall_conductivity_w_per_mk = 50 (default)",
                           "board.bottom_mm = 10 (default)",
                           "board.conductivity_through_w_per_mk = 0.35 (default)",
                           "board.conductivity_in_plane_w_per_mk = 20 (default)",
                           "stack.chip_conductivity_w_per_mk = 120 (default)",
                           "stack.chip_to_base_m2k_per_w = 0 (default)",
                           "stack.chip_to_board_m2k_per_w = 0 (default)",
                           "stack.centre_mm = 50 (default)",
                           "stack.conductivity_w_per_mk = 200 (default)",
                           "stack.first_gap_mm = 5 (default)",
                           "conditions.panels = [\"on\", \"off\"] (default)",
                           "air.gravity_m_per_s2 = 9.80665 (default)",
                           "air.properties = tables at the film temperature (default)",
                           "mesh.cells_per_gap = 8 (default)",
                           "mesh.cells_per_sheet = 2 (default)",
                           "mesh.growth = 1.2 (default)",
                           "mesh.wall_cell_mm = smallest gap / cells_per_gap (default)",
                           "mesh.largest_cell_mm = longer side of the section / 20 (default)"}) {
    CAPTURE(line);
    CHECK(has_default(the_case, line));
  }
  CHECK(the_case.defaults.size() == 24);
  const Case block = parse_case(block_text, "dir/name.toml");
  CHECK(block.title == "name");
  for (const char* line :
       {"title = \"name\" (default)", "room.temperature_c = 25 (default)",
        "room.margin_mm = 0 (default)", "case.side = \"film\" (default)",
        "case.wall_film_w_per_m2k = 8 (default)",
        "case.panel = \"closed\" with no wall open (default)", "board.behind_mm = 5 (default)",
        "conditions.orientations = [\"upright\"] (default)"}) {
    CAPTURE(line);
    CHECK(has_default(block, line));
  }
}

TEST_CASE("Case: numbers given take the place of the defaults", "[case]") {
  const std::string text = stack_text + R"([limit]
temperature_c = 85
die_to_base_k_per_w = 0.4
[mesh]
cells_per_gap = 6
cells_per_sheet = 3
growth = 1.15
wall_cell_mm = 0.5
largest_cell_mm = 9
[air]
gravity_m_per_s2 = 9.7
)";
  const Case the_case =
      parse_case(edited(text, "margin_mm = 50",
                        "margin_mm = 50\ncalm_factor = 10\ncalm_start_mm = 20\ncalm_width_mm = 40"),
                 "t.toml");
  CHECK_THAT(the_case.limit_temperature, WithinAbs(358.15, rounding));
  CHECK(the_case.die_to_base == 0.4);
  CHECK(the_case.resolution.cells_per_gap == 6);
  CHECK(the_case.resolution.cells_per_sheet == 3);
  CHECK(the_case.resolution.growth == 1.15);
  CHECK(the_case.resolution.wall_cell == 0.0005);
  CHECK(the_case.resolution.largest_cell == 0.009);
  CHECK(the_case.gravity == 9.7);
  CHECK_FALSE(the_case.air);
  CHECK(the_case.calm.factor == 10.0);
  CHECK(the_case.calm.start == 0.02);
  CHECK(the_case.calm.width == 0.04);
}

TEST_CASE("Case: panel states can be chosen and ordered", "[case]") {
  const Case the_case =
      parse_case(edited(stack_text, "[30, 10]", "[30, 10]\npanels = [\"off\"]"), "t.toml");
  REQUIRE(the_case.panels.size() == 1);
  CHECK(the_case.panels[0].name == "off");
}

TEST_CASE("Case: the film outside a closed case includes the wall", "[case]") {
  const Case the_case = parse_case(block_text, "t.toml");
  const Side& side = the_case.panels.front().section.sides[west];
  CHECK(side.kind == SideKind::film);
  CHECK_THAT(side.film, WithinRel(1.0 / (1.0 / 8.0 + 0.001 / 50.0), rounding));
  CHECK_THAT(side.temperature, WithinAbs(298.15, rounding));
  const Case cold = parse_case(
      edited(block_text, "width_mm = 60", "width_mm = 60\nside = \"isothermal\""), "t.toml");
  CHECK(cold.panels.front().section.sides[west].kind == SideKind::isothermal);
}

TEST_CASE("Case: a block takes its gap or its base length", "[case]") {
  const Case by_length = parse_case(block_text, "t.toml");
  const Case by_gap =
      parse_case(edited(block_text, "base_length_mm = 30", "fin_gap_mm = 6"), "t.toml");
  const Section& a = by_length.panels.front().section;
  const Section& b = by_gap.panels.front().section;
  REQUIRE(a.solids.size() == b.solids.size());
  for (std::size_t k = 0; k < a.solids.size(); ++k) {
    CHECK(a.solids[k].name == b.solids[k].name);
    CHECK_THAT(a.solids[k].extent.y0, WithinAbs(b.solids[k].extent.y0, rounding));
    CHECK_THAT(a.solids[k].extent.y1, WithinAbs(b.solids[k].extent.y1, rounding));
  }
}

TEST_CASE("Case: a drawn section is read as it is drawn", "[case]") {
  const Case the_case = parse_case(drawn_text, "t.toml");
  REQUIRE(the_case.panels.size() == 1);
  CHECK(the_case.panels[0].name == "as-drawn");
  const Section& section = the_case.panels[0].section;
  CHECK(section.width == 0.1);
  CHECK(section.height == 0.08);
  CHECK(section.depth == 0.5);
  CHECK(section.base == 0); // the first solid that releases heat
  REQUIRE(section.solids.size() == 3);
  const Solid& heater = section.solids[0];
  CHECK(heater.conductivity_x == 5.0);
  CHECK(heater.conductivity_y == 50.0);
  CHECK(heater.heat_share == 1.0);
  CHECK(heater.role == Role::source);
  CHECK(heater.extent.x0 == 0.02);
  CHECK(heater.extent.x1 == 0.024);
  CHECK(heater.extent.y0 == 0.03);
  CHECK(heater.extent.y1 == 0.05);
  CHECK(section.solids[1].conductivity_x == 200.0);
  CHECK(section.solids[1].conductivity_y == 200.0);
  CHECK(section.sides[west].kind == SideKind::isothermal);
  CHECK_THAT(section.sides[west].temperature, WithinAbs(303.15, rounding));
  CHECK(section.sides[east].kind == SideKind::film);
  CHECK(section.sides[east].film == 12.0);
  CHECK_THAT(section.sides[east].temperature, WithinAbs(288.15, rounding));
  CHECK(section.sides[south].kind == SideKind::symmetry);
  CHECK(section.sides[north].kind == SideKind::open);
  CHECK_THAT(section.sides[north].temperature, WithinAbs(283.15, rounding));
  REQUIRE(section.contacts.size() == 1);
  CHECK(section.contacts[0].resistance == 1e-4);
  REQUIRE(section.links.size() == 1);
  const Link& link = section.links[0];
  CHECK(link.solid_a == 1);
  CHECK(link.solid_b == 2);
  CHECK(link.conductance == 6.0); // 3 W/K over 0.5 m
  CHECK(link.patch_a.y0 == 0.03);
  CHECK(link.patch_a.y1 == 0.04);
  CHECK(link.patch_a.x0 == 0.024);
  CHECK(link.patch_b.y0 == 0.02);
  CHECK(has_default(the_case, "link[1].patch_b_y_mm = [20, 60] (default)"));
  CHECK(has_default(the_case, "section.base = \"heater\" (default)"));
}

TEST_CASE("Case: a drawn machine has a calm room round it", "[case]") {
  const std::string text =
      edited(drawn_text, "depth_mm = 500", "machine_x_mm = [10, 80]\nmachine_y_mm = [10, 70]");
  const Case the_case = parse_case("[room]\ncalm_factor = 5\n" + text, "t.toml");
  const Section& section = the_case.panels.front().section;
  REQUIRE(section.machine);
  CHECK(section.machine->x1 == 0.08);
  CHECK(section.machine->y0 == 0.01);
  CHECK(section.depth == 1.0);
  CHECK(the_case.calm.factor == 5.0);
}

TEST_CASE("Case: constants of the air are read together", "[case]") {
  const std::string air = R"([air]
density_kg_per_m3 = 1.1
heat_capacity_j_per_kgk = 1007
conductivity_w_per_mk = 0.027
viscosity_pa_s = 1.9e-5
expansion_per_k = 0.0032
reference_temperature_c = 26.85
)";
  const Case the_case = parse_case(drawn_text + air, "t.toml");
  REQUIRE(the_case.air);
  CHECK(the_case.air->density == 1.1);
  CHECK(the_case.air->heat_capacity == 1007.0);
  CHECK(the_case.air->conductivity == 0.027);
  CHECK(the_case.air->viscosity == 1.9e-5);
  CHECK(the_case.air->expansion == 0.0032);
  CHECK_THAT(the_case.air->reference_temperature, WithinAbs(300.0, rounding));
  CHECK(refusal(drawn_text + edited(air, "viscosity_pa_s = 1.9e-5\n", "")) ==
        "t.toml:44: key 'air.viscosity_pa_s': found nothing, allowed a number above 0");
}

TEST_CASE("Case: unknown keys are refused with the nearest known one", "[case]") {
  check_faults({
      {stack_text, "temperature_c = 20", "temprature_c = 20",
       "t.toml:3: key 'room.temprature_c': found a key that is not known here, allowed "
       "temperature_c, margin_mm, calm_factor, calm_start_mm, calm_width_mm; nearest known key "
       "'temperature_c'"},
      {stack_text, "[room]", "[rooom]",
       "t.toml:2: key 'rooom': found a key that is not known here, allowed title, room, limit, "
       "conditions, stack, block, board, case, section, sides, solid, contact, link, air, mesh; "
       "nearest known key 'room'"},
      {stack_text, "open = [\"east\"]", "opened = [\"east\"]",
       "t.toml:16: key 'case.panel[2].opened': found a key that is not known here, allowed name, "
       "open; nearest known key 'open'"},
      {drawn_text, "[sides.west]", "[sides.left]",
       "t.toml:7: key 'sides.left': found a key that is not known here, allowed west, east, south, "
       "north; nearest known key 'west'"},
  });
  CHECK_THAT(refusal(edited(stack_text, "plate_gap_mm", "plate_gap")),
             ContainsSubstring("t.toml:28: key 'stack.plate_gap': found a key that is not known") &&
                 ContainsSubstring("nearest known key 'plate_gap_mm'"));
}

TEST_CASE("Case: wrong types and values are refused with what is allowed", "[case]") {
  check_faults({
      {stack_text, "temperature_c = 20", "temperature_c = \"20\"",
       "t.toml:3: key 'room.temperature_c': found \"20\", allowed a number from -70 to 250"},
      {stack_text, "temperature_c = 20", "temperature_c = 251",
       "t.toml:3: key 'room.temperature_c': found 251, allowed a number from -70 to 250"},
      {stack_text, "temperature_c = 20", "temperature_c = inf",
       "t.toml:3: key 'room.temperature_c': found inf, allowed a finite number"},
      {stack_text, "[30, 10]", "[30, nan]",
       "t.toml:6: key 'conditions.powers_w[2]': found nan, allowed a finite number"},
      {stack_text, "[30, 10]", "[30, -10]",
       "t.toml:6: key 'conditions.powers_w': found -10, allowed a number of 0 or more"},
      {stack_text, "[30, 10]", "30",
       "t.toml:6: key 'conditions.powers_w': found 30, allowed a list of 1 to 1000 numbers, each a "
       "number of 0 or more"},
      {stack_text, "[30, 10]", "[]",
       "t.toml:6: key 'conditions.powers_w': found a list of 0, allowed a list of 1 to 1000 "
       "numbers, each a number of 0 or more"},
      {stack_text, "[30, 10]", "[30, 10, 30.0]",
       "t.toml:6: key 'conditions.powers_w': found 30 twice, allowed each power once"},
      {stack_text, "title = \"test stack\"", "title = 1979-05-27",
       "t.toml:1: key 'title': found a date, allowed a text in quotes that is not empty"},
      {stack_text, "title = \"test stack\"", "title = \"\"",
       "t.toml:1: key 'title': found \"\", allowed a text in quotes that is not empty"},
      {stack_text, "plates = 3", "plates = 3.5",
       "t.toml:26: key 'stack.plates': found 3.5, allowed a whole number from 1 to 100"},
      {stack_text, "plates = 3", "plates = 0",
       "t.toml:26: key 'stack.plates': found 0, allowed a whole number from 1 to 100"},
      {stack_text, "plates = 3", "plates = true",
       "t.toml:26: key 'stack.plates': found true, allowed a whole number from 1 to 100"},
      {stack_text, "plate_thickness_mm = 1", "plate_thickness_mm = 0",
       "t.toml:27: key 'stack.plate_thickness_mm': found 0, allowed a number above 0 and at most "
       "100000"},
      {stack_text, "plate_thickness_mm = 1", "plate_thickness_mm = 1e6",
       "t.toml:27: key 'stack.plate_thickness_mm': found 1000000, allowed a number above 0 and at "
       "most 100000"},
      {stack_text, "column_positions_mm = [20, 40]", "column_positions_mm = [20, \"x\"]",
       "t.toml:32: key 'stack.column_positions_mm': found \"x\", allowed a number of 0 or more"},
      {stack_text, "name = \"off\"", "name = \"off/\"",
       "t.toml:15: key 'case.panel[2].name': found \"off/\", allowed letters, digits, - and . (it "
       "names files)"},
      {stack_text, "open = [\"east\"]", "open = [\"nort\"]",
       "t.toml:16: key 'case.panel[2].open': found \"nort\", allowed west, east, south, north; "
       "nearest 'north'"},
      {stack_text, "open = [\"east\"]", "open = [\"east\", \"east\"]",
       "t.toml:16: key 'case.panel[2].open': found \"east\" twice, allowed each once"},
      {stack_text, "[board]", "[[board]]",
       "t.toml:17: key 'board': found a list of 1, allowed a table"},
      {drawn_text, "kind = \"film\"", "kind = \"flim\"",
       "t.toml:11: key 'sides.east.kind': found \"flim\", allowed isothermal, insulated, film, "
       "open, symmetry; nearest 'film'"},
      {drawn_text, "role = \"source\"", "role = 3",
       "t.toml:25: key 'solid[1].role': found 3, allowed other, source, base, fin, board, wall"},
      {drawn_text, "conductivity_w_per_mk = 200", "conductivity_w_per_mk = -1",
       "t.toml:30: key 'solid[2].conductivity_w_per_mk': found -1, allowed a number above 0"},
      {drawn_text, "[5, 50]", "[5]",
       "t.toml:23: key 'solid[1].conductivity_w_per_mk': found a list of 1, allowed a list of 2 "
       "numbers"},
      {drawn_text, "heat_share = 1", "heat_share = 1.5",
       "t.toml:24: key 'solid[1].heat_share': found 1.5, allowed a number from 0 to 1"},
      {drawn_text, "temperature_c = 30", "temperature_c = -273.15",
       "t.toml:9: key 'sides.west.temperature_c': found -273.15, allowed a number above -273.15"},
  });
  CHECK(refusal("solid = 1\n" + drawn_text.substr(0, drawn_text.find("[[solid]]"))) ==
        "t.toml:1: key 'solid': found 1, allowed tables written as [[solid]]");
}

TEST_CASE("Case: cell sizes that need too many cells are refused at the table of the mesh",
          "[case]") {
  const std::string allowed = ", allowed cell sizes that need at most 4000000 cells";
  CHECK_THAT(refusal(stack_text + "[mesh]\nwall_cell_mm = 1e-7\n"),
             ContainsSubstring("key 'mesh': found sizes that need") && ContainsSubstring(allowed));
  CHECK_THAT(refusal(stack_text + "[mesh]\nlargest_cell_mm = 1e-6\n"),
             ContainsSubstring("key 'mesh': found sizes that cannot be meshed: ") &&
                 ContainsSubstring("more than a million") && ContainsSubstring(allowed));
}

TEST_CASE("Case: orientations are names or tilts, each once", "[case]") {
  check_faults({
      {stack_text, "[\"upright\", 30]", "[\"uprigth\"]",
       "t.toml:7: key 'conditions.orientations': found \"uprigth\", allowed upright, flat-up, "
       "flat-down, upside-down, quarter-left, quarter-right, or a tilt in degrees from -360 to "
       "360; nearest 'upright'"},
      {stack_text, "[\"upright\", 30]", "[400]",
       "t.toml:7: key 'conditions.orientations': found 400, allowed a number from -360 to 360"},
      {stack_text, "[\"upright\", 30]", "[\"upright\", \"upright\"]",
       "t.toml:7: key 'conditions.orientations': found \"upright\", which is upright again, "
       "allowed "
       "each orientation once"},
      {stack_text, "[\"upright\", 30]", "[\"flat-up\", 90]",
       "t.toml:7: key 'conditions.orientations': found 90, which is flat-up again, allowed each "
       "orientation once"},
      {stack_text, "[\"upright\", 30]", "[270, -90]",
       "t.toml:7: key 'conditions.orientations': found -90, which is tilt-270 again, allowed each "
       "orientation once"},
      {stack_text, "[\"upright\", 30]", "\"upright\"",
       "t.toml:7: key 'conditions.orientations': found \"upright\", allowed a list of names and "
       "tilts in degrees"},
      {stack_text, "[\"upright\", 30]", "[]",
       "t.toml:7: key 'conditions.orientations': found a list of 0, allowed a list of names and "
       "tilts in degrees"},
  });
  const Case turned =
      parse_case(edited(stack_text, "[\"upright\", 30]", "[\"quarter-left\", -45]"), "t.toml");
  CHECK_FALSE(is_in_section(turned.orientations[0])); // read all the same; a run refuses it
  CHECK(is_in_section(turned.orientations[1]));
}

TEST_CASE("Case: missing keys are refused at their table", "[case]") {
  check_faults({
      {stack_text, "plates = 3\n", "",
       "t.toml:21: key 'stack.plates': found nothing, allowed a whole number from 1 to 100"},
      {stack_text, "column_positions_mm = [20, 40]\n", "",
       "t.toml:21: key 'stack.column_positions_mm': found nothing, allowed a list of 1 to 20 "
       "numbers, each a number of 0 or more"},
      {stack_text, "powers_w = [30, 10]\n", "",
       "t.toml:5: key 'conditions.powers_w': found nothing, allowed a list of 1 to 1000 numbers, "
       "each a number of 0 or more"},
      {stack_text, "open = []\n", "",
       "t.toml:11: key 'case.panel[1].open': found nothing, allowed a list of west, east, south, "
       "north"},
      {block_text, "base_length_mm = 30\n", "",
       "t.toml:9: key 'block.fin_gap_mm': found neither, allowed either fin_gap_mm or "
       "base_length_mm"},
      {drawn_text, "outside_c = 10\n", "",
       "t.toml:14: key 'sides.north.outside_c': found nothing, allowed a number above -273.15"},
      {drawn_text, "x_mm = [20, 24]\n", "",
       "t.toml:19: key 'solid[1].x_mm': found nothing, allowed a list of 2 numbers"},
      {drawn_text, "conductivity_w_per_mk = [5, 50]\n", "",
       "t.toml:19: key 'solid[1].conductivity_w_per_mk': found nothing, allowed a number above 0, "
       "or two: [along x, along y]"},
  });
  CHECK(refusal("") ==
        "t.toml:1: key 'stack': found none of [stack], [block], [section], allowed exactly one of "
        "them");
  CHECK_THAT(refusal(block_text.substr(block_text.find("[case]"))),
             ContainsSubstring("t.toml:1: key 'conditions': found nothing, allowed a table with "
                               "powers_w, orientations, panels"));
  CHECK_THAT(refusal("[stack]\n"),
             ContainsSubstring("t.toml:1: key 'case': found nothing, allowed a table with "));
}

TEST_CASE("Case: contradictions are refused", "[case]") {
  check_faults({
      {stack_text, "[board]", "[block]\nfins = 3\n[board]",
       "t.toml:17: key 'block': found [block] beside [stack], allowed one of [stack], [block], "
       "[section]"},
      {stack_text, "[board]", "[section]\nwidth_mm = 3\n[board]",
       "t.toml:17: key 'section': found [section] beside [stack], allowed one of [stack], [block], "
       "[section]"},
      {drawn_text, "[sides.west]", "[board]\nthickness_mm = 2\n[sides.west]",
       "t.toml:7: key 'board': found [board] beside [section], allowed [board] and [case] only "
       "with [stack] or [block]"},
      {stack_text, "[board]", "[[solid]]\nname = \"x\"\n[board]",
       "t.toml:17: key 'solid': found [solid] beside [stack], allowed [sides], [[solid]], "
       "[[contact]] and [[link]] only with [section]"},
      {block_text, "base_length_mm = 30", "base_length_mm = 30\nfin_gap_mm = 6",
       "t.toml:14: key 'block.fin_gap_mm': found both fin_gap_mm and base_length_mm, allowed "
       "either fin_gap_mm or base_length_mm"},
      {block_text, "base_length_mm = 30", "base_length_mm = 12",
       "t.toml:13: key 'block.base_length_mm': found 12, allowed more than the fins' thicknesses "
       "together, 12"},
      {stack_text, "height_mm = 120", "height_mm = 120\nside = \"film\"",
       "t.toml:11: key 'case.side': found a key for a case whose walls are the sides of the "
       "section, allowed only without room.margin_mm (the air round the case is meshed)"},
      {block_text, "height_mm = 120",
       "height_mm = 120\nside = \"isothermal\"\n"
       "wall_film_w_per_m2k = 5",
       "t.toml:7: key 'case.wall_film_w_per_m2k': found a film coefficient, allowed only with side "
       "= \"film\""},
      {stack_text, "margin_mm = 50", "calm_factor = 5",
       "t.toml:4: key 'room.calm_factor': found a key for a room that is not meshed, allowed only "
       "with room.margin_mm above 0 or section.machine_x_mm and _y_mm"},
      {drawn_text, "[section]", "[room]\nmargin_mm = 5\n[section]",
       "t.toml:4: key 'room.margin_mm': found a margin for a drawn section, allowed only with "
       "[stack] or [block]; draw the room and give section.machine_x_mm and _y_mm"},
      {stack_text, "[conditions]", "[limit]\ntemperature_c = 20\n[conditions]",
       "t.toml:6: key 'limit.temperature_c': found 20, allowed more than room.temperature_c = 20"},
      {stack_text, "name = \"off\"", "name = \"on\"",
       "t.toml:15: key 'case.panel[2].name': found \"on\" twice, allowed a different name for "
       "every "
       "panel state"},
      {stack_text, "[30, 10]", "[30, 10]\npanels = [\"offf\"]",
       "t.toml:7: key 'conditions.panels': found \"offf\", allowed on, off; nearest 'off'"},
      {stack_text, "[30, 10]", "[30, 10]\npanels = []",
       "t.toml:7: key 'conditions.panels': found an empty list, allowed at least one of on, off"},
      {drawn_text, "temperature_c = 30", "temperature_c = 30\nfilm_w_per_m2k = 3",
       "t.toml:10: key 'sides.west.film_w_per_m2k': found a key that a side of kind \"isothermal\" "
       "does not use, allowed kind, temperature_c"},
      {drawn_text, "kind = \"symmetry\"", "kind = \"insulated\"\ntemperature_c = 3",
       "t.toml:19: key 'sides.south.temperature_c': found a key that a side of kind \"insulated\" "
       "does not use, allowed kind alone"},
      {drawn_text, "heat_share = 1", "heat_share = 0.9",
       "t.toml:19: key 'solid': found heat shares that add up to 0.9, allowed 1, because "
       "conditions.powers_w has a power above 0"},
      {stack_text, "board]\nthickness_mm = 2\nheight_mm = 100",
       "board]\nthickness_mm = 2\nheight_mm = 121",
       "t.toml:19: key 'board.height_mm': found 121, allowed at most case.height_mm = 120"},
      {stack_text, "plate_gap_mm = 5", "plate_gap_mm = 25",
       "t.toml:21: key 'stack': found plate-2 at 65 to 66 mm along x, allowed 0 to 60 mm (inside "
       "the case, from its west wall)"},
  });
}

TEST_CASE("Case: rectangles that overlap, leave the section or have no area are refused",
          "[case]") {
  check_faults({
      {drawn_text, "x_mm = [24, 30]", "x_mm = [23, 30]",
       "t.toml:28: key 'solid[2].x_mm': found a rectangle (\"spreader\") that overlaps \"heater\", "
       "allowed rectangles that touch at most"},
      {drawn_text, "x_mm = [60, 70]", "x_mm = [60, 101]",
       "t.toml:33: key 'solid[3].x_mm': found [60, 101], allowed two rising numbers within 0 to "
       "100"},
      {drawn_text, "y_mm = [30, 50]", "y_mm = [-1, 50]",
       "t.toml:22: key 'solid[1].y_mm': found [-1, 50], allowed two rising numbers within 0 to 80"},
      {drawn_text, "x_mm = [20, 24]", "x_mm = [24, 24]",
       "t.toml:21: key 'solid[1].x_mm': found [24, 24], allowed two rising numbers within 0 to "
       "100"},
      {drawn_text, "x_mm = [20, 24]", "x_mm = [24, 20]",
       "t.toml:21: key 'solid[1].x_mm': found [24, 20], allowed two rising numbers within 0 to "
       "100"},
      {drawn_text, "x_mm = [20, 24]", "x_mm = [20, 22, 24]",
       "t.toml:21: key 'solid[1].x_mm': found a list of 3, allowed a list of 2 numbers"},
      {drawn_text, "name = \"far\"", "name = \"heater\"",
       "t.toml:32: key 'solid[3].name': found \"heater\" twice, allowed a different name for every "
       "solid"},
      {drawn_text, "[\"heater\", \"spreader\"]", "[\"heater\", \"far\"]",
       "t.toml:37: key 'contact[1].between': found \"heater\" and \"far\", which do not touch, "
       "allowed two solids that share an edge"},
      {drawn_text, "[\"heater\", \"spreader\"]", "[\"heater\"]",
       "t.toml:37: key 'contact[1].between': found a list of 1, allowed the names of two solids: "
       "heater, spreader, far"},
      {drawn_text, "[\"spreader\", \"far\"]", "[\"spreader\", \"fra\"]",
       "t.toml:41: key 'link[1].between': found \"fra\", allowed heater, spreader, far; nearest "
       "'far'"},
      {drawn_text, "patch_a_y_mm = [30, 40]", "patch_a_y_mm = [10, 40]",
       "t.toml:43: key 'link[1].patch_a_y_mm': found [10, 40], allowed two rising numbers within "
       "20 "
       "to 60"},
      {drawn_text, "depth_mm = 500", "depth_mm = 500\nbase = \"heat\"",
       "t.toml:7: key 'section.base': found \"heat\", allowed heater, spreader, far; nearest "
       "'heater'"},
  });
}

TEST_CASE("Case: a sheet too thin to be meshed is refused", "[case]") {
  CHECK_THAT(refusal(edited(stack_text, "plate_thickness_mm = 1", "plate_thickness_mm = 1e-7")),
             ContainsSubstring("t.toml:21: key 'stack': found a section (panel on) that cannot be "
                               "meshed: The solid \"plate-1\" has no area"));
}

TEST_CASE("Case: a section that lets no heat through is refused", "[case]") {
  CHECK(refusal("[conditions]\npowers_w = [0]\n[section]\nwidth_mm = 10\nheight_mm = 10\n") ==
        "t.toml:1: key 'sides': found four sides that let no heat through, allowed at least one "
        "that is isothermal, film or open");
}

TEST_CASE("Case: without any power no solid need release heat", "[case]") {
  const Case the_case = parse_case("[conditions]\npowers_w = [0]\n"
                                   "[section]\nwidth_mm = 10\nheight_mm = 10\n"
                                   "[sides.west]\nkind = \"isothermal\"\ntemperature_c = 30\n",
                                   "t.toml");
  CHECK(the_case.panels.front().section.base == -1);
  CHECK(the_case.panels.front().section.sides[east].kind == SideKind::insulated);
  CHECK(has_default(the_case, "section.base = none (default)"));
}

TEST_CASE("Case: text that is not TOML is refused with its line", "[case]") {
  CHECK_THAT(refusal("title = \"x\"\nroom = [\n"),
             ContainsSubstring("t.toml:") && ContainsSubstring("not valid TOML: "));
  CHECK_THAT(refusal("title = \"x\"\n= 3\n"), ContainsSubstring("t.toml:2: not valid TOML: "));
  CHECK_THAT(refusal("a = 1\n\na = 2\n"), ContainsSubstring("t.toml:3: not valid TOML: "));
  CHECK_THAT(refusal("[`"), ContainsSubstring("t.toml:1: not valid TOML: "));
  CHECK_THAT(refusal("title = \"\xff\"\n"), ContainsSubstring("t.toml:1: not valid TOML: "));
}

TEST_CASE("Case: a file that cannot be read is refused with its path", "[case]") {
  CHECK_THROWS_WITH(read_case("no/such/file.toml"),
                    "no/such/file.toml: found no file that can be read, allowed a case file");
  CHECK_THROWS_AS(read_case("."), InputError);
}

TEST_CASE("Shipped cases: every one is read and can be meshed", "[case]") {
  int n_files = 0;
  for (const auto& entry : std::filesystem::directory_iterator("cases")) {
    if (entry.path().extension() != ".toml") {
      continue;
    }
    CAPTURE(entry.path().string());
    ++n_files;
    const Case the_case = read_case(entry.path().string());
    CHECK(the_case.title.size() > 10);
    for (const PanelState& panel : the_case.panels) {
      CHECK_NOTHROW(check(panel.section));
      CHECK(make_mesh(panel.section, the_case.resolution).n_cells() > 0);
    }
  }
  CHECK(n_files >= 4);
}

TEST_CASE("Shipped cases: the observatory's stack has 18 conditions of 20,000 to 30,000 cells",
          "[case]") {
  const Case the_case = read_case("cases/observatory-stack.toml");
  CHECK(the_case.panels.size() * the_case.orientations.size() * the_case.powers.size() == 18);
  for (const PanelState& panel : the_case.panels) {
    const int n_cells = make_mesh(panel.section, the_case.resolution).n_cells();
    CHECK(n_cells >= 20000);
    CHECK(n_cells <= 30000);
  }
}

TEST_CASE("Shipped cases: the square cavity has Ra 1e6 and Pr 0.71", "[case]") {
  const Case the_case = read_case("cases/square-cavity.toml");
  REQUIRE(the_case.air);
  const AirProperties& air = *the_case.air;
  const Section& section = the_case.panels.front().section;
  const double difference = section.sides[west].temperature - section.sides[east].temperature;
  const double rayleigh = the_case.gravity * air.expansion * difference * section.width *
                          section.width * section.width /
                          (air.kinematic_viscosity() * air.diffusivity());
  CHECK(section.width == section.height);
  CHECK_THAT(rayleigh, WithinRel(1e6, rounding));
  CHECK_THAT(air.prandtl(), WithinRel(0.71, rounding));
}
