// Parts in the case and surfaces near it: places worked out by hand, refusals, and that a surface
// below follows gravity.
#include "cases/file/case.hpp"
#include "cases/run/run.hpp"
#include "solver/problem.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <numeric>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

const std::string part_text = R"([[part]]
name = "disk"
x_mm = [40, 55]
y_mm = [5, 15]
conductivity_w_per_mk = [2, 20]
power_w = 3
finish = "steel-rolled"
)";

const std::string desk_text = R"([[room.surface]]
at = "below"
distance_mm = 8
finish = "painted"
)";

std::string with(const std::string& text) {
  return edited(stack_text, "[conditions]", text + "[conditions]");
}

std::string turned_by_quarters(const std::string& text) {
  return edited(with(text), "[\"upright\", 30]", "[\"upright\", \"flat-up\", \"flat-down\"]");
}

} // namespace

TEST_CASE("Part: it stands where it is said and releases its power at every power",
          "[surroundings]") {
  const Case the_case = parse_case(with(part_text), "t.toml");
  const Section& section = the_case.panels.front().sections.front();
  const Solid& part = section.solids.back();
  CHECK(part.name == "disk");
  CHECK(part.role == Role::other);
  CHECK_THAT(part.extent.x0, WithinAbs(0.091, rounding)); // margin 50, wall 1, then 40 mm
  CHECK_THAT(part.extent.x1, WithinAbs(0.106, rounding));
  CHECK_THAT(part.extent.y0, WithinAbs(0.056, rounding));
  CHECK_THAT(part.extent.y1, WithinAbs(0.066, rounding));
  CHECK(part.conductivity_x == 2.0);
  CHECK(part.conductivity_y == 20.0);
  CHECK(part.emissivity == 0.66);
  CHECK(part.heat_share == 0.0);
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  for (const double power : {0.0, 10.0}) {
    const Problem problem =
        make_problem(section, mesh, {.gravity_x = 0.0, .gravity_y = -9.8, .power = power},
                     air_at(300.0, 293.15));
    const double released = std::accumulate(problem.heat.begin(), problem.heat.end(), 0.0);
    CHECK_THAT(released * section.depth, WithinRel(power + 3.0, 1e-10)); // sum over all cells
  }
}

TEST_CASE("Part: what it leaves out is said", "[surroundings]") {
  const Case the_case = parse_case(with(part_text), "t.toml");
  std::string notes;
  for (const std::string& note : the_case.notes) {
    notes += note + "\n";
  }
  CHECK_THAT(notes, ContainsSubstring("disk reach through its whole depth of 80 mm") &&
                        ContainsSubstring("Parts release 3 W besides the power"));
}

TEST_CASE("Part: one that overlaps, leaves the case or has a known name is refused",
          "[surroundings]") {
  const std::string text = with(part_text);
  CHECK(refusal(edited(text, "[40, 55]", "[40, 61]")) ==
        "t.toml:7: key 'part[1].x_mm': found [40, 61], allowed two rising numbers within 0 to 60");
  CHECK(refusal(edited(text, "[40, 55]", "[6, 55]")) ==
        "t.toml:7: key 'part[1].x_mm': found a part (\"disk\") that overlaps \"board\", allowed "
        "parts that touch others at most");
  CHECK(refusal(edited(text, "\"disk\"", "\"plate-1\"")) ==
        "t.toml:6: key 'part[1].name': found \"plate-1\" twice, allowed a name of its own");
  CHECK(refusal(edited(text, "power_w = 3", "power_w = -3")) ==
        "t.toml:10: key 'part[1].power_w': found -3, allowed a number from 0 to 1000000");
  CHECK(refusal(edited(drawn_text, "[sides.west]", part_text + "[sides.west]")) ==
        "t.toml:7: key 'part': found [part] beside [section], allowed [board], [case] and [[part]] "
        "only with [stack], [block] or [ring]");
}

TEST_CASE("Surface: below follows gravity and closes the section at its distance",
          "[surroundings]") {
  const Case the_case = parse_case(turned_by_quarters(desk_text), "t.toml");
  const PanelState& panel = the_case.panels.front();
  REQUIRE(panel.sections.size() == 3);
  const std::array<SideName, 3> below{south, west, east}; // upright, flat-up, flat-down
  for (std::size_t k = 0; k < 3; ++k) {
    CAPTURE(the_case.orientations[k].name);
    const Section& section = panel.section_in(k);
    CHECK_NOTHROW(check(section));
    for (const SideName side : {west, east, south, north}) {
      CHECK(section.sides[side].kind == (side == below[k] ? SideKind::insulated : SideKind::open));
    }
    CHECK(section.sides[below[k]].emissivity == 0.9);
    REQUIRE(section.machine);
    const Rectangle& machine = *section.machine;
    CHECK_THAT(machine.x0, WithinAbs(below[k] == west ? 0.008 : 0.050, rounding));
    CHECK_THAT(machine.y0, WithinAbs(below[k] == south ? 0.008 : 0.050, rounding));
    CHECK_THAT(section.width - machine.x1, WithinAbs(below[k] == east ? 0.008 : 0.050, rounding));
    CHECK_THAT(section.height - machine.y1, WithinAbs(0.050, rounding));
    // The board stays where it is in the case: 1 mm of wall and 5 mm of air behind it.
    CHECK_THAT(section.solids[static_cast<std::size_t>(section.base)].extent.x0 - machine.x0,
               WithinAbs(0.011, rounding));
  }
}

TEST_CASE("Surface: one on a fixed side is there in every orientation", "[surroundings]") {
  const std::string text = edited(desk_text, "below", "west") + "kind = \"isothermal\"\n";
  const Case the_case = parse_case(with(text), "t.toml");
  const PanelState& panel = the_case.panels.front();
  CHECK(panel.sections.size() == 1);
  CHECK(panel.sections.front().sides[west].kind == SideKind::isothermal);
  CHECK(panel.sections.front().sides[west].temperature == 293.15);
  CHECK_THAT(panel.sections.front().machine->x0, WithinAbs(0.008, rounding));
}

TEST_CASE("Surface: it may be there in some orientations only", "[surroundings]") {
  const Case the_case =
      parse_case(turned_by_quarters(desk_text + "orientations = [\"flat-up\"]\n"), "t.toml");
  const PanelState& panel = the_case.panels.front();
  REQUIRE(panel.sections.size() == 3);
  CHECK(panel.section_in(0).sides[south].kind == SideKind::open);
  CHECK(panel.section_in(1).sides[west].kind == SideKind::insulated);
  CHECK(panel.section_in(2).sides[east].kind == SideKind::open);
}

TEST_CASE("Surface: what cannot stand is refused", "[surroundings]") {
  CHECK(
      refusal(with(edited(desk_text, "= 8", "= 50"))) ==
      "t.toml:7: key 'room.surface[1].distance_mm': found 50 for the orientation tilt-30, allowed "
      "a distance of the case's nearest corner above 0 and below room.margin_mm = 50, or "
      "orientations = [those that it is there in]");
  CHECK(
      refusal(with(desk_text + "kind = \"isothermal\"\n")) ==
      "t.toml:9: key 'room.surface[1].kind': found \"isothermal\" for the orientation tilt-30, "
      "allowed \"insulated\" beside a tilted case, or orientations = [those that it is there in]");
  CHECK(refusal(with(desk_text + desk_text)) ==
        "t.toml:10: key 'room.surface[2].at': found a second surface on the south side in the "
        "orientation upright, allowed one surface on each side");
  CHECK(refusal(with(edited(desk_text, "below", "under"))) ==
        "t.toml:6: key 'room.surface[1].at': found \"under\", allowed below, above, west, east, "
        "south, north; nearest 'below'");
  CHECK(refusal(turned_by_quarters(desk_text + edited(desk_text, "below", "south"))) ==
        "t.toml:10: key 'room.surface[2].at': found a second surface on the south side in the "
        "orientation upright, allowed one surface on each side");
  CHECK(refusal(turned_by_quarters(edited(desk_text, "= 8", "= 0"))) ==
        "t.toml:5: key 'room.surface': found the east wall, which lets air through in the panel "
        "state off, on a surface at 0 mm, allowed a distance_mm above 0");
  CHECK(refusal(edited(with(desk_text), "margin_mm = 50\n", "")) ==
        "t.toml:4: key 'room.surface': found a surface of a room that is not meshed, allowed only "
        "with room.margin_mm above 0");
}

TEST_CASE("Surface: a machine that is its own mirror image rises alike on either end",
          "[surroundings][slow]") {
  const Case the_case = parse_case(mirror_text, "t.toml");
  const std::vector<Outcome> outcomes = run_case(the_case, {}, {}).outcomes;
  REQUIRE(outcomes.size() == 2);
  REQUIRE(outcomes[0].status == SolveStatus::converged);
  REQUIRE(outcomes[1].status == SolveStatus::converged);
  CHECK(outcomes[0].base_rise_mean_k.value > 1.0);
  // Newton's method ends at 1e-9 of the rise's own scale; the film temperature within 0.02 K.
  CHECK_THAT(outcomes[1].base_rise_mean_k.value,
             WithinRel(outcomes[0].base_rise_mean_k.value, 1e-3));
}
