// A ring that lies flat as a body of revolution: which orientations have which section, its areas
// and volumes, what keeps the plane one, what is refused.
#include "cases/file/case.hpp"
#include "cases/run/run.hpp"
#include "solver/condition.hpp"
#include "solver/problem.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"
#include "tests/scratch.hpp"

#include <algorithm>
#include <filesystem>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double circle = std::numbers::pi;

const std::string flat_ring = R"([room]
margin_mm = 60
[conditions]
powers_w = [10]
orientations = ["upright", "flat-up", 30, -90]
[case]
width_mm = 60
height_mm = 120
finish = "painted"
[[case.panel]]
name = "on"
grille = ["south", "north"]
free_area_ratio = 0.5
[[case.panel]]
name = "off"
open = ["east", "north"]
[[case.panel]]
name = "shut"
open = []
[board]
thickness_mm = 2
height_mm = 100
behind_mm = 5
[ring]
chip_thickness_mm = 3
chip_length_mm = 16
base_thickness_mm = 4
core_diameter_mm = 30
outer_diameter_mm = 80
fins = 30
fin_thickness_mm = 1
fin_height_mm = 25
)";

const PanelState& state_named(const Case& the_case, std::string_view name) {
  return *std::ranges::find(the_case.panels, name, &PanelState::name);
}

/// Volume of a ring of the section, of the whole turn [m3].
double ring_volume(const Rectangle& r) {
  return circle * (r.y1 * r.y1 - r.y0 * r.y0) * r.width();
}

const Solid& ring_solid(const Section& section, std::string_view name) {
  return *std::ranges::find(section.solids, name, &Solid::name);
}

/// Its values do not matter here.
AirProperties round_ring_air() {
  return {1.2, 1005.0, 0.026, 1.8e-5, 1.0 / 300.0, 300.0};
}

std::string all_notes(const Case& the_case) {
  std::string all;
  for (const std::string& note : the_case.notes) {
    all += note + "\n";
  }
  return all;
}

} // namespace

TEST_CASE("Round ring: gravity along the axis turns the section, all else leaves it plane",
          "[case][round]") {
  const Case the_case = case_of(flat_ring);
  for (const PanelState& panel : the_case.panels) {
    REQUIRE(panel.sections.size() == 4);
    for (std::size_t k = 0; k < 4; ++k) {
      CHECK(panel.section_in(k).axis_distance.has_value() == (k == 1 || k == 3));
      CHECK(can_answer(panel.section_in(k), the_case.orientations[k]));
    }
    CHECK_FALSE(panel.section_at_angles().axis_distance);
  }
  CHECK_NOTHROW(case_of(edited(flat_ring, "powers_w = [10]", "powers_w = [10]\ntilts = [0, 45]")));
  const std::string upright = "orientations = [\"upright\", \"flat-up\", 30, -90]";
  const Case all_flat = case_of(edited(flat_ring, upright, "orientations = [\"flat-down\"]"));
  CHECK(all_flat.panels.front().sections.size() == 1);
  CHECK(all_flat.panels.front().sections.front().axis_distance.has_value());
  CHECK_FALSE(all_flat.panels.front().section_at_angles().axis_distance);
  const Case none_flat = case_of(edited(flat_ring, upright, "orientations = [\"upright\", 30]"));
  CHECK(none_flat.panels.front().sections.size() == 1);
  CHECK_FALSE(none_flat.panels.front().at_angles);
  CHECK_THAT(all_notes(the_case), ContainsSubstring("In flat-up, tilt--90 gravity lies along"));
  CHECK_THAT(
      all_notes(the_case),
      ContainsSubstring("In upright, tilt-30 and at all angles of tilts the section is plane"));
}

TEST_CASE("Round ring: metal, contacts and walls have their true areas", "[case][round]") {
  std::string text =
      edited(flat_ring, "fin_height_mm = 25", "fin_height_mm = 25\nchip_depth_mm = 20");
  text = edited(text, "height_mm = 100", "height_mm = 100\ndepth_mm = 80");
  text = edited(text, "height_mm = 120", "height_mm = 120\ndepth_mm = 100");
  const Case the_case = case_of(text);
  const Section& section = state_named(the_case, "on").section_in(1);
  // By hand, from the keys; rounding of lengths in mm.
  constexpr double rounded = 1e-9;
  CHECK_THAT(ring_volume(ring_solid(section, "chip").extent),
             WithinRel(0.016 * 0.020 * 0.003, rounded));
  CHECK_THAT(ring_volume(ring_solid(section, "board").extent),
             WithinRel(0.100 * 0.080 * 0.002, rounded));
  CHECK_THAT(ring_volume(ring_solid(section, "base").extent),
             WithinRel(circle * 0.015 * 0.015 * (0.004 + 0.025), rounded));
  REQUIRE(section.contacts.size() == 1); // as in a plane of the chip's own depth: not spread
  CHECK(section.contacts.front().resistance == 0.0045);
  // Both grilles of 60 x 100 mm, all round.
  double open = 0.0;
  for (const Grille& grille : section.grilles) {
    open += 2.0 * circle * grille.line.y0 * grille.line.width();
  }
  CHECK_THAT(open, WithinRel(2.0 * 0.060 * 0.100, rounded));
  CHECK(section.grilles.size() == 3);
  // The case's disc of 120 x 100 mm closed at both ends.
  CHECK_THAT(ring_volume(ring_solid(section, "wall-west").extent),
             WithinRel(0.120 * 0.100 * 0.001, rounded));
  // Panel "off": no east wall, and bands without a sheet for the north one alone.
  const Section& off = state_named(the_case, "off").section_in(3);
  CHECK(off.grilles.empty());
  double sheet = 0.0;
  for (const Solid& solid : off.solids) {
    sheet += solid.name.rfind("wall-round", 0) == 0 ? solid.extent.width() : 0.0;
    CHECK(solid.name != "wall-east");
  }
  const double radius = std::sqrt(0.120 * 0.100 / circle);
  CHECK_THAT(2.0 * circle * radius * (0.062 - sheet), WithinRel(0.060 * 0.100, rounded));
  CHECK(ring_solid(state_named(the_case, "shut").section_in(1), "wall-round").extent.width() ==
        Approx(0.062));
}

TEST_CASE("Round ring: fins keep their number, surface and conductance at every radius",
          "[case][round]") {
  const Case the_case = case_of(flat_ring);
  const Section& section = state_named(the_case, "shut").section_in(1);
  const FinMedium& fins = section.media.front();
  CHECK_THAT(2.0 * circle * fins.extent.y0,
             WithinRel(30 * (fins.gap_at(fins.extent.y0) + 0.001), 1e-9));
  CHECK_THAT(2.0 * circle * fins.extent.y1,
             WithinRel(30 * (fins.gap_at(fins.extent.y1) + 0.001), 1e-9));
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  const Problem problem =
      make_problem(section, mesh, {-standard_gravity, 0.0, 10.0}, round_ring_air(), {});
  double wetted = 0.0;
  for (const MediumCell& cell : problem.media) {
    wetted += cell.wetted * section.depth;
  }
  // Thirty fins of 25 x 25 mm, both faces: exact, for the rings' areas are linear in r.
  CHECK_THAT(wetted, WithinRel(30 * 2 * 0.025 * 0.025, 1e-9));
  // A straight fin of constant thickness conducts k t H / L from root to tip, whatever it stands
  // on; by Fourier's law. Halves of cells at the ends take part in conductances of their own.
  const int i0 = face_at(mesh.x, fins.extent.x0);
  const int i1 = face_at(mesh.x, fins.extent.x1);
  const int j0 = face_at(mesh.y, fins.extent.y0);
  const int j1 = face_at(mesh.y, fins.extent.y1);
  double resistance = 0.0;
  for (int j = j0 + 1; j < j1; ++j) {
    double conductance = 0.0;
    for (int i = i0; i < i1; ++i) {
      conductance += problem.fin_conductance_y[static_cast<std::size_t>(problem.face_y(i, j))];
    }
    resistance += 1.0 / (conductance * section.depth);
  }
  const double length = mesh.y.centre(j1 - 1) - mesh.y.centre(j0);
  // The metal's share on a face is the mean of those beside it: wrong by (cell / radius)^2 / 4,
  // with 2 mm at a radius of 15 0.4 %, and less outwards.
  CHECK_THAT(resistance, WithinRel(length / (30 * 200.0 * 0.001 * 0.025), 0.004));
}

TEST_CASE("Round ring: what is not round keeps the plane section, and a note says why",
          "[case][round]") {
  const auto plane_because = [](const std::string& text, const std::string& reason) {
    const Case the_case = case_of(text);
    for (const PanelState& panel : the_case.panels) {
      for (const Section& section : panel.sections) {
        CHECK_FALSE(section.axis_distance);
      }
    }
    CHECK_THAT(all_notes(the_case),
               ContainsSubstring("In flat-up, tilt--90 the section is the same plane one, not "
                                 "turned about the core's axis: " +
                                 reason));
  };
  plane_because(flat_ring + "[[part]]\nname = \"store\"\nx_mm = [40, 60]\ny_mm = [0, 10]\n"
                            "conductivity_w_per_mk = 1\n",
                "a [[part]] is not round");
  plane_because(flat_ring + "[[room.surface]]\nat = \"north\"\ndistance_mm = 20\n",
                "a [[room.surface]] beside it is not round");
  plane_because(edited(flat_ring, "margin_mm = 60", "margin_mm = 0"),
                "a narrow wall that lets air through needs a meshed room");
  plane_because(edited(flat_ring, "behind_mm = 5", "behind_mm = 5\nbottom_mm = 0\n") +
                    "centre_mm = 45\n",
                "the core stands 15 mm from the middle of the case");
  // A desk below is a plane across the axis.
  const Case desk =
      case_of(flat_ring + "[[room.surface]]\nat = \"below\"\ndistance_mm = 20\norientations = "
                          "[\"flat-up\", \"tilt--90\"]\n");
  const Section& on_desk = desk.panels.front().section_in(1);
  CHECK(on_desk.axis_distance.has_value());
  CHECK(on_desk.sides[west].kind == SideKind::insulated);
  CHECK(desk.panels.front().section_in(3).sides[east].kind == SideKind::insulated);
}

TEST_CASE("Round ring: discs that do not fit are refused", "[case][round]") {
  // A board is at most as deep as its case, unless it says so itself; the fins are as they are.
  CHECK_THAT(refusal(edited(flat_ring, "height_mm = 120", "height_mm = 120\ndepth_mm = 40")),
             ContainsSubstring("found fins of 40 mm radius lying flat, allowed at most "
                               "39.0882 mm (the case)"));
  CHECK_THAT(refusal(flat_ring + "chip_depth_mm = 1000\n"),
             ContainsSubstring("found a chip of 71.365 mm radius lying flat, allowed at most "
                               "56.419 mm (the board)"));
}

TEST_CASE("Round ring: turned and plane sections are solved side by side, and gone on with",
          "[case][round][run]") {
  // Closed, so that no room is meshed: some two thousand cells.
  std::string text = edited(flat_ring, "margin_mm = 60", "margin_mm = 0");
  text = edited(text, "[\"upright\", \"flat-up\", 30, -90]", "[\"flat-up\", \"upright\"]");
  text = edited(text, "powers_w = [10]", "powers_w = [2]\npanels = [\"shut\"]");
  text = edited(text, "grille = [\"south\", \"north\"]\nfree_area_ratio = 0.5", "open = []");
  text = edited(text, "open = [\"east\", \"north\"]", "open = [\"east\"]");
  text +=
      "finish = \"black-anodised\"\n[mesh]\ngrowth = 1.4\nwall_cell_mm = 3\ncells_per_gap = 4\n";
  const Scratch scratch("round-ring");
  RunOptions options;
  options.jobs = 1;
  options.directory = scratch / "out";
  options.examine_stability = false;
  const Case the_case = case_of(text);
  const std::vector<Outcome> solved = run_case(the_case, options, {}).outcomes;
  REQUIRE(solved.size() == 2);
  for (const Outcome& outcome : solved) {
    CAPTURE(outcome.orientation);
    CHECK(outcome.status == SolveStatus::converged);
    CHECK(outcome.balance_error < 1e-8); // Newton's rest, of the section's own depth
    CHECK(outcome.mass_error < 1e-12);   // psi's rounding
    CHECK(outcome.radiated_share > 0.05);
    CHECK(std::filesystem::exists(scratch /
                                  ("out/pictures/shut_" + outcome.orientation + "_2w.svg")));
  }
  // The turned case gives off heat through all its walls, the plane one is 86 mm deep.
  CHECK(solved[0].base_rise_mean_k.value < solved[1].base_rise_mean_k.value);
  options.resume = true;
  std::vector<std::string> steps;
  const std::vector<Outcome> again = run_case(the_case, options, [&](const Progress& progress) {
                                       steps.push_back(progress.condition);
                                     }).outcomes;
  CHECK(steps.empty()); // nothing is solved a second time
  REQUIRE(again.size() == 2);
  CHECK(again[0].base_rise_mean_k.value == solved[0].base_rise_mean_k.value);
}
