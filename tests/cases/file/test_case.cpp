// Case files: what is read, in SI units.
#include "cases/file/case.hpp"
#include "post/numbers/spreading.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

bool has_default(const Case& the_case, const std::string& line) {
  return std::ranges::find(the_case.defaults, line) != the_case.defaults.end();
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
  const Section& on = the_case.panels[0].sections.front();
  const Section& off = the_case.panels[1].sections.front();
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
                           "limit.spreading_k_per_w = 0 (default)",
                           "room.calm_factor = 10 (default)",
                           "room.calm_start_mm = 15 (default)",
                           "room.calm_width_mm = 100 (default)",
                           "case.depth_mm = as it is high; 20 mm more than the cooler at either "
                           "end if that is more (default)",
                           "case.panel[1].ends = sheet, open where all four walls are (default)",
                           "case.panel[2].ends = sheet, open where all four walls are (default)",
                           "board.depth_mm = as it is high or the chip is deep, no more than the "
                           "case (default)",
                           "case.wall_thickness_mm = 1 (default)",
                           "case.wall_conductivity_w_per_mk = 50 (default)",
                           "board.bottom_mm = 10 (default)",
                           "board.conductivity_through_w_per_mk = 0.35 (default)",
                           "board.conductivity_in_plane_w_per_mk = 20 (default)",
                           "stack.chip_conductivity_w_per_mk = 120 (default)",
                           "stack.chip_to_base_m2k_per_w = 0 (default)",
                           "stack.chip_to_board_m2k_per_w = 0.0045 (default)",
                           "stack.chip_depth_mm = the whole depth of the section (default)",
                           "stack.centre_mm = 50 (default)",
                           "stack.conductivity_w_per_mk = 200 (default)",
                           "stack.first_gap_mm = 5 (default)",
                           "conditions.tilts = none (default)",
                           "conditions.panels = [\"on\", \"off\"] (default)",
                           "conditions.added_powers = \"at-limit\" (default)",
                           "air.gravity_m_per_s2 = 9.80665 (default)",
                           "air.properties = tables at the film temperature (default)",
                           "mesh.cells_per_gap = 8 (default)",
                           "mesh.cells_per_sheet = 2 (default)",
                           "mesh.growth = 1.2 (default)",
                           "mesh.wall_cell_mm = smallest gap / cells_per_gap (default)",
                           "mesh.largest_cell_mm = longer side of the section / 20 (default)",
                           "mesh.radiant_zone_mm = length of all solid surfaces and walls / 120 "
                           "(default)",
                           "case.emissivity = 0 (default)",
                           "board.emissivity = 0 (default)",
                           "stack.emissivity = 0 (default)"}) {
    CAPTURE(line);
    CHECK(has_default(the_case, line));
  }
  CHECK(the_case.defaults.size() == 36);
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
  const Side& side = the_case.panels.front().sections.front().sides[west];
  CHECK(side.kind == SideKind::film);
  CHECK_THAT(side.film, WithinRel(1.0 / (1.0 / 8.0 + 0.001 / 50.0), rounding));
  CHECK_THAT(side.temperature, WithinAbs(298.15, rounding));
  const Case cold = parse_case(
      edited(block_text, "width_mm = 60", "width_mm = 60\nside = \"isothermal\""), "t.toml");
  CHECK(cold.panels.front().sections.front().sides[west].kind == SideKind::isothermal);
}

TEST_CASE("Case: a block takes its gap or its base length", "[case]") {
  const Case by_length = parse_case(block_text, "t.toml");
  const Case by_gap =
      parse_case(edited(block_text, "base_length_mm = 30", "fin_gap_mm = 6"), "t.toml");
  const Section& a = by_length.panels.front().sections.front();
  const Section& b = by_gap.panels.front().sections.front();
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
  const Section& section = the_case.panels[0].sections.front();
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
  const Section& section = the_case.panels.front().sections.front();
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
        "t.toml:44: key 'air.viscosity_pa_s': found nothing, allowed a number from "
        "1e-07 to 1000");
}

TEST_CASE("Case: without any power no solid need release heat", "[case]") {
  const Case the_case = parse_case("[conditions]\npowers_w = [0]\n"
                                   "[section]\nwidth_mm = 10\nheight_mm = 10\n"
                                   "[sides.west]\nkind = \"isothermal\"\ntemperature_c = 30\n",
                                   "t.toml");
  CHECK(the_case.panels.front().sections.front().base == -1);
  CHECK(the_case.panels.front().sections.front().sides[east].kind == SideKind::insulated);
  CHECK(has_default(the_case, "section.base = none (default)"));
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
      for (const NamedSection& named : sections_of(the_case, panel)) {
        CHECK_NOTHROW(check(*named.section));
        const int n_cells = make_mesh(*named.section, the_case.resolution).n_cells();
        CHECK(n_cells > 0);
        CHECK(n_cells < 40000); // minutes for a case, not hours
      }
    }
  }
  CHECK(n_files >= 4);
}

TEST_CASE("Shipped cases: the observatory's stack has 18 conditions of 20,000 to 30,000 cells",
          "[case]") {
  const Case the_case = read_case("cases/observatory-stack.toml");
  CHECK(the_case.panels.size() * the_case.orientations.size() * the_case.powers.size() == 18);
  for (const PanelState& panel : the_case.panels) {
    const int n_cells = make_mesh(panel.sections.front(), the_case.resolution).n_cells();
    CHECK(n_cells >= 20000);
    CHECK(n_cells <= 30000);
  }
}

TEST_CASE("Shipped cases: the square cavity has Ra 1e6 and Pr 0.71", "[case]") {
  const Case the_case = read_case("cases/square-cavity.toml");
  REQUIRE(the_case.air);
  const AirProperties& air = *the_case.air;
  const Section& section = the_case.panels.front().sections.front();
  const double difference = section.sides[west].temperature - section.sides[east].temperature;
  const double rayleigh = the_case.gravity * air.expansion * difference * section.width *
                          section.width * section.width /
                          (air.kinematic_viscosity() * air.diffusivity());
  CHECK(section.width == section.height);
  CHECK_THAT(rayleigh, WithinRel(1e6, rounding));
  CHECK_THAT(air.prandtl(), WithinRel(0.71, rounding));
}

TEST_CASE("Case: fins that run along the board are read as a medium", "[case]") {
  const std::string along =
      edited(block_text, "fins = 4\n", "fins = 4\nfins_run = \"along\"\nfin_gap_mm = 5\n");
  const Case the_case = parse_case(edited(along, "depth_mm = 80\n", ""), "t.toml");
  const Section& section = the_case.panels[0].sections.front();
  REQUIRE(section.media.size() == 1);
  CHECK_THAT(section.depth, WithinRel(0.027, 1e-12)); // four fins of 3 mm, three gaps of 5 mm
  CHECK_THAT(section.media[0].gap, WithinRel(0.005, 1e-12));
  CHECK_THAT(section.media[0].extent.height(), WithinRel(0.030, 1e-12));
  // The other way round: the bundle's width gives the gap.
  const std::string wide = edited(block_text, "fins = 4\n", "fins = 4\nfins_run = \"along\"\n");
  const Case other = parse_case(edited(wide, "depth_mm = 80", "depth_mm = 27"), "t.toml");
  CHECK_THAT(other.panels[0].sections.front().media[0].gap, WithinRel(0.005, 1e-12));
  const bool is_told = std::ranges::any_of(other.notes, [](const std::string& note) {
    return note.find("the section shows their faces") != std::string::npos;
  });
  CHECK(is_told);
}

TEST_CASE("Case: the spreading of heat in the base is given or follows from the chip's depth",
          "[case]") {
  CHECK(parse_case(block_text, "t.toml").spreading == 0.0);
  const std::string given = block_text + "[limit]\nspreading_k_per_w = 0.1\n";
  const Case with_value = parse_case(given + "die_to_base_k_per_w = 0.2\n", "t.toml");
  CHECK(with_value.spreading == 0.1);
  CHECK_THAT(core_to_base(with_value), WithinRel(0.3, 1e-12));
  const std::string deep = edited(block_text, "depth_mm = 80", "depth_mm = 80\nchip_depth_mm = 16");
  const Case computed = parse_case(deep, "t.toml");
  // Base 30 x 80 x 4 mm of 200 W/(m K), chip 20 x 16 mm.
  CHECK(computed.spreading == spreading_resistance({0.03, 0.08, 0.004, 200.0, 0.02, 0.016}));
  CHECK_THAT(computed.notes.back(), !ContainsSubstring("not resisted"));
  CHECK(parse_case(deep + "[limit]\nspreading_k_per_w = 0.1\n", "t.toml").spreading == 0.1);
  CHECK(refusal(edited(deep, "chip_depth_mm = 16", "chip_depth_mm = 81")) ==
        "t.toml:18: key 'block.chip_depth_mm': found 81, allowed at most the base's 80 mm for heat "
        "to spread");
}

TEST_CASE("Case: walls that are grilles are read with their losses", "[case]") {
  const Case the_case =
      parse_case(edited(stack_text, "open = [\"east\"]",
                        "open = [\"east\"]\ngrille = [\"south\", \"north\"]\nfree_area_ratio = "
                        "0.4\nhole_diameter_mm = 4"),
                 "t.toml");
  CHECK(the_case.panels[0].sections.front().grilles.empty());
  const Section& off = the_case.panels[1].sections.front();
  REQUIRE(off.grilles.size() == 2);
  const Grille expected = grille_losses(0.4, 0.004, 0.001); // as thick as the case's sheet
  CHECK_THAT(off.grilles[0].linear, WithinRel(expected.linear, 1e-12));
  CHECK_THAT(off.grilles[1].quadratic, WithinRel(expected.quadratic, 1e-12));
}

TEST_CASE("Case: a drawn section takes fin media and grilles", "[case]") {
  const std::string text = drawn_text + R"([[medium]]
name = "bundle"
x_mm = [30, 50]
y_mm = [20, 60]
gap_mm = 4
fin_thickness_mm = 1
conductivity_w_per_mk = 190
finish = "black-anodised"
[[grille]]
name = "sheet"
from_mm = [0, 70]
to_mm = [100, 70]
free_area_ratio = 0.3
)";
  const Case the_case = parse_case(text, "t.toml");
  const Section& section = the_case.panels[0].sections.front();
  REQUIRE(section.media.size() == 1);
  CHECK_THAT(section.media[0].gap, WithinRel(0.004, 1e-12));
  CHECK_THAT(section.media[0].extent.x1, WithinAbs(0.05, 1e-12));
  CHECK(section.media[0].emissivity == 0.82);
  REQUIRE(section.grilles.size() == 1);
  CHECK_THAT(section.grilles[0].line.y0, WithinAbs(0.07, 1e-12));
  CHECK(the_case.resolution.cells_per_medium == 12);
}
