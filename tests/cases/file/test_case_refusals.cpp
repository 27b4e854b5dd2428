// Case files: every refusal with its message.
#include "cases/file/case.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <array>
#include <string>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

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
TEST_CASE("Case: unknown keys are refused with the nearest known one", "[case]") {
  check_faults({
      {stack_text, "temperature_c = 20", "temprature_c = 20",
       "t.toml:3: key 'room.temprature_c': found a key that is not known here, allowed "
       "temperature_c, margin_mm, calm_factor, calm_start_mm, calm_width_mm, surface; nearest "
       "known key 'temperature_c'"},
      {stack_text, "[room]", "[rooom]",
       "t.toml:2: key 'rooom': found a key that is not known here, allowed title, room, limit, "
       "conditions, stack, block, ring, board, case, section, sides, solid, contact, link, medium, "
       "grille, air, mesh, bench, part, spacing; nearest known key 'room'"},
      {stack_text, "open = [\"east\"]", "opened = [\"east\"]",
       "t.toml:16: key 'case.panel[2].opened': found a key that is not known here, allowed name, "
       "open, grille, ends, free_area_ratio, hole_diameter_mm; nearest known key 'open'"},
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
       "t.toml:6: key 'conditions.powers_w': found -10, allowed a number from 0 to 1000000"},
      {stack_text, "[30, 10]", "30",
       "t.toml:6: key 'conditions.powers_w': found 30, allowed a list of 1 to 1000 numbers, each a "
       "number from 0 to 1000000"},
      {stack_text, "[30, 10]", "[]",
       "t.toml:6: key 'conditions.powers_w': found a list of 0, allowed a list of 1 to 1000 "
       "numbers, each a number from 0 to 1000000"},
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
       "t.toml:27: key 'stack.plate_thickness_mm': found 0, allowed a number from 0.001 to "
       "100000"},
      {stack_text, "plate_thickness_mm = 1", "plate_thickness_mm = 1e6",
       "t.toml:27: key 'stack.plate_thickness_mm': found 1000000, allowed a number from 0.001 "
       "to 100000"},
      {stack_text, "column_positions_mm = [20, 40]", "column_positions_mm = [20, \"x\"]",
       "t.toml:32: key 'stack.column_positions_mm': found \"x\", allowed a number from 0 to "
       "100000"},
      {stack_text, "name = \"off\"", "name = \"off/\"",
       "t.toml:15: key 'case.panel[2].name': found \"off/\", allowed at most 100 letters, digits, "
       "- and . (it "
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
       "t.toml:30: key 'solid[2].conductivity_w_per_mk': found -1, allowed a number from 1e-09 to "
       "1000000000"},
      {drawn_text, "[5, 50]", "[5]",
       "t.toml:23: key 'solid[1].conductivity_w_per_mk': found a list of 1, allowed a list of 2 "
       "numbers"},
      {drawn_text, "heat_share = 1", "heat_share = 1.5",
       "t.toml:24: key 'solid[1].heat_share': found 1.5, allowed a number from 0 to 1"},
      {drawn_text, "temperature_c = 30", "temperature_c = -273.15",
       "t.toml:9: key 'sides.west.temperature_c': found -273.15, allowed a number above -273.15 "
       "and at most 3000"},
  });
  CHECK(refusal("solid = 1\n" + drawn_text.substr(0, drawn_text.find("[[solid]]"))) ==
        "t.toml:1: key 'solid': found 1, allowed tables written as [[solid]]");
}

TEST_CASE("Case: texts and keys with control characters are refused, and shown clean", "[case]") {
  const std::string mark = "\xEF\xBF\xBD";
  check_faults({
      {stack_text, "\"test stack\"", R"("\u001b[31mred")",
       "t.toml:1: key 'title': found \"" + mark +
           "[31mred\", allowed text without control characters"},
      {stack_text, "\"test stack\"", R"("\uFFFE")",
       "t.toml:1: key 'title': found \"" + mark + "\", allowed text without control characters"},
      {stack_text, "temperature_c = 20", R"("\u0007" = 20)",
       "t.toml:3: key 'room." + mark +
           "': found a key that is not known, allowed keys without control characters"},
      {stack_text, "\"test stack\"", R"("two\nlines")",
       "t.toml:1: key 'title': found \"two lines\", allowed text on one line without control "
       "characters"},
  });
}

TEST_CASE("Case: sides at which air is beyond its tables are refused", "[case][beyond_range]") {
  // Room at 25 degC: 2 x 200 K and 2 x 600 K less 298.15 K are -171.3 and 628.7 degC.
  const std::string west = "kind = \"isothermal\"\ntemperature_c = 25\n[sides.east]";
  const std::string tiny = tests::tiny_case_text("[0.1]", R"(["upright"])");
  const auto with_west = [&](const std::string& value) {
    return edited(tiny, west, edited(west, "25", value));
  };
  for (const char* value : {"1500", "-200"}) {
    CHECK(refusal(with_west(value)) ==
          std::string("t.toml:12: key 'sides.west.temperature_c': found ") + value +
              ", allowed -171.3 to 628.7, with a room at 25 and air of the tables (film 200 to 600 "
              "K); more with constants in [air]");
    const std::string air = "[air]\ndensity_kg_per_m3 = 1.1\nheat_capacity_j_per_kgk = 1007\n"
                            "conductivity_w_per_mk = 0.027\nviscosity_pa_s = 1.9e-5\n"
                            "expansion_per_k = 0.0032\nreference_temperature_c = 30\n";
    CHECK_NOTHROW(parse_case(with_west(value) + air, "t.toml"));
  }
  CHECK_NOTHROW(parse_case(with_west("628"), "t.toml"));
  const auto with_film = [&](const std::string& value) {
    return edited(tiny, west,
                  edited(west, "kind = \"isothermal\"\ntemperature_c = 25",
                         "kind = \"film\"\nfilm_w_per_m2k = 10\noutside_c = " + value));
  };
  for (const char* value : {"1500", "-200"}) {
    CHECK(refusal(with_film(value)) ==
          std::string("t.toml:13: key 'sides.west.outside_c': found ") + value +
              ", allowed -171.3 to 628.7, with a room at 25 and air of the tables (film 200 to 600 "
              "K); more with constants in [air]");
  }
  CHECK_NOTHROW(parse_case(with_film("628"), "t.toml"));
}

TEST_CASE("Case: what no body and no air can be is refused by bounds with a reason", "[case]") {
  const std::string air = "[air]\ndensity_kg_per_m3 = 1.1\nheat_capacity_j_per_kgk = 1007\n"
                          "conductivity_w_per_mk = 0.027\nviscosity_pa_s = 1.9e-5\n"
                          "expansion_per_k = 0.0032\nreference_temperature_c = 30\n";
  const std::string with_air = drawn_text + air;
  const std::vector<std::array<std::string, 3>> slips{
      {stack_text, "plate_gap_mm = 5", "plate_gap_mm = 65000"},
      {stack_text, "plate_gap_mm = 5", "plate_gap_mm = 1e-12"},
      {stack_text, "plate_thickness_mm = 1", "plate_thickness_mm = 1e-9"},
      {stack_text, "conductance_w_per_k = 4", "conductance_w_per_k = 1e300"},
      {stack_text, "base_thickness_mm = 4",
       "base_thickness_mm = 4\nconductivity_w_per_mk = 1e-300"},
      {stack_text, "base_thickness_mm = 4", "base_thickness_mm = 4\nchip_to_base_m2k_per_w = 1e9"},
      {stack_text, "base_thickness_mm = 4", "base_thickness_mm = 4\ndensity_kg_per_m3 = 1e300"},
      {stack_text, "height_mm = 120", "height_mm = 120\nwall_conductivity_w_per_mk = 1e300"},
      {stack_text, "open = [\"east\"]",
       "open = []\ngrille = [\"east\"]\nfree_area_ratio = 0.5\nhole_diameter_mm = 1e-9"},
      {stack_text, "[room]", "[limit]\ndie_to_base_k_per_w = 1e9\n[room]"},
      {stack_text, "[room]", "[limit]\ntemperature_c = 1e300\n[room]"},
      {stack_text, "[30, 10]", "[30, 1e-320]"},
      {stack_text, "[30, 10]", "[30, 1e9]"},
      {stack_text, "[30, 10]", "[10, 30, 30.0000000001]"},
      {drawn_text, "conductivity_w_per_mk = 200", "conductivity_w_per_mk = 1e300"},
      {drawn_text, "film_w_per_m2k = 12", "film_w_per_m2k = 1e300"},
      {with_air, "viscosity_pa_s = 1.9e-5", "viscosity_pa_s = 1e-300"},
      {with_air, "expansion_per_k = 0.0032", "expansion_per_k = 1e300"},
      {with_air, "density_kg_per_m3 = 1.1", "density_kg_per_m3 = 1e-300"},
      {with_air, "heat_capacity_j_per_kgk = 1007", "heat_capacity_j_per_kgk = 1e300"},
      {with_air, "[air]", "[air]\ngravity_m_per_s2 = 1e300"},
  };
  CHECK(refusal(with_air).empty());
  for (const auto& [text, from, to] : slips) {
    CAPTURE(to);
    CHECK_THAT(refusal(edited(text, from, to)), ContainsSubstring("t.toml:") &&
                                                    ContainsSubstring("found ") &&
                                                    ContainsSubstring(", allowed "));
  }
  // A milliwatt apart is noise, a percent is not.
  CHECK_THAT(refusal(edited(stack_text, "[30, 10]", "[10, 30, 30.001]")),
             ContainsSubstring("t.toml:6: key 'conditions.powers_w': found 30 and 30.001, nearly"));
  CHECK(refusal(edited(stack_text, "[30, 10]", "[10, 30, 30.3]")).empty());
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
       "numbers, each a number from 0 to 100000"},
      {stack_text, "powers_w = [30, 10]\n", "",
       "t.toml:5: key 'conditions.powers_w': found nothing, allowed a list of 1 to 1000 numbers, "
       "each a number from 0 to 1000000"},
      {stack_text, "open = []\n", "",
       "t.toml:11: key 'case.panel[1].open': found nothing, allowed a list of west, east, south, "
       "north"},
      {block_text, "base_length_mm = 30\n", "",
       "t.toml:9: key 'block.fin_gap_mm': found neither, allowed either fin_gap_mm or "
       "base_length_mm"},
      {drawn_text, "outside_c = 10\n", "",
       "t.toml:14: key 'sides.north.outside_c': found nothing, allowed a number above -273.15 "
       "and at most 3000"},
      {drawn_text, "x_mm = [20, 24]\n", "",
       "t.toml:19: key 'solid[1].x_mm': found nothing, allowed a list of 2 numbers"},
      {drawn_text, "conductivity_w_per_mk = [5, 50]\n", "",
       "t.toml:19: key 'solid[1].conductivity_w_per_mk': found nothing, allowed a number from "
       "1e-09 to 1000000000, or two: [along x, along y]"},
  });
  CHECK(refusal("") ==
        "t.toml:1: key 'stack': found none of [stack], [block], [ring], [section], allowed exactly "
        "one of "
        "them");
  CHECK_THAT(refusal(block_text.substr(block_text.find("[case]"))),
             ContainsSubstring("t.toml:1: key 'conditions': found nothing, allowed a table with "
                               "powers_w, orientations, tilts, panels"));
  CHECK_THAT(refusal("[conditions]\n[stack]\n"),
             ContainsSubstring("t.toml:1: key 'case': found nothing, allowed a table with "));
}

TEST_CASE("Case: contradictions are refused", "[case]") {
  check_faults({
      {stack_text, "[board]", "[block]\nfins = 3\n[board]",
       "t.toml:17: key 'block': found [block] beside [stack], allowed one of [stack], [block], "
       "[ring], "
       "[section]"},
      {stack_text, "[board]", "[section]\nwidth_mm = 3\n[board]",
       "t.toml:17: key 'section': found [section] beside [stack], allowed one of [stack], [block], "
       "[ring], "
       "[section]"},
      {drawn_text, "[sides.west]", "[board]\nthickness_mm = 2\n[sides.west]",
       "t.toml:7: key 'board': found [board] beside [section], allowed [board], [case] and "
       "[[part]] "
       "only with [stack], [block] or [ring]"},
      {stack_text, "[board]", "[[solid]]\nname = \"x\"\n[board]",
       "t.toml:17: key 'solid': found [solid] beside [stack], allowed [sides], [[solid]], "
       "[[contact]], [[link]], [[medium]] and [[grille]] only with [section]"},
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
       "[stack], [block] or [ring]; draw the room and give section.machine_x_mm and _y_mm"},
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
       "does not use, allowed kind, temperature_c, finish, emissivity"},
      {drawn_text, "kind = \"symmetry\"", "kind = \"insulated\"\ntemperature_c = 3",
       "t.toml:19: key 'sides.south.temperature_c': found a key that a side of kind \"insulated\" "
       "does not use, allowed kind, finish, emissivity"},
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
  CHECK_THAT(refusal(edited(drawn_text, "[60, 70]", "[60, 60.0000001]")),
             ContainsSubstring("key 'section': found a section (panel ") &&
                 ContainsSubstring("cannot be meshed: The solid \"far\" has no area"));
}

TEST_CASE("Case: a section that lets no heat through is refused", "[case]") {
  CHECK(refusal("[conditions]\npowers_w = [0]\n[section]\nwidth_mm = 10\nheight_mm = 10\n") ==
        "t.toml:1: key 'sides': found four sides that let no heat through, allowed at least one "
        "that is isothermal, film or open");
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

TEST_CASE("Case: fin media and grilles that cannot be are refused", "[case]") {
  const std::string along =
      edited(block_text, "fins = 4\n", "fins = 4\nfins_run = \"along\"\n"); // depth_mm = 80
  check_faults({
      {along, "depth_mm = 80", "depth_mm = 12",
       "t.toml:18: key 'block.depth_mm': found 12, allowed more than the fins' thicknesses "
       "together, 12"},
      {along, "depth_mm = 80", "depth_mm = 80\nfin_gap_mm = 4",
       "t.toml:19: key 'block.fin_gap_mm': found both fin_gap_mm and depth_mm, allowed either "
       "fin_gap_mm or depth_mm"},
      {along, "\"along\"", "\"around\"",
       "t.toml:15: key 'block.fins_run': found \"around\", allowed across, along; nearest "
       "'along'"},
      {stack_text, "open = [\"east\"]",
       "open = [\"east\"]\ngrille = [\"east\"]\nfree_area_ratio = 0.4",
       "t.toml:17: key 'case.panel[2].grille': found \"east\", which is open too, allowed each "
       "wall "
       "once"},
      {stack_text, "open = [\"east\"]", "open = [\"east\"]\nfree_area_ratio = 0.4",
       "t.toml:17: key 'case.panel[2].free_area_ratio': found a key of a grille, allowed only with "
       "grille = [sides]"},
  });
  const std::string medium = drawn_text + R"([[medium]]
name = "bundle"
x_mm = [28, 50]
y_mm = [20, 60]
gap_mm = 4
fin_thickness_mm = 1
conductivity_w_per_mk = 190
)";
  CHECK_THAT(refusal(medium), ContainsSubstring("cannot be meshed: The fin medium \"bundle\"") &&
                                  ContainsSubstring("overlaps the solid \"spreader\""));
}
