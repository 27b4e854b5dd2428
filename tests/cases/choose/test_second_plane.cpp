#include "cases/choose/second_plane.hpp"
#include "cases/file/solved_text.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <algorithm>

using namespace tiltfin;
using namespace tiltfin::tests;
using Catch::Matchers::WithinAbs;
using tiltfin::tests::ContainsSubstring;

namespace {

Case flat_stack(const std::string& change = "", const std::string& with = "") {
  std::string text = edited(stack_text, "[\"upright\", 30]", "[\"upright\", \"flat-up\", 30]");
  return parse_case(change.empty() ? text : edited(text, change, with), "stack.toml");
}

const Section& section_of_panel(const Case& the_case, std::size_t panel = 0) {
  return the_case.panels.at(panel).sections.front();
}

const Solid& solid_of(const Section& section, const std::string& name) {
  const auto found = std::ranges::find(section.solids, name, &Solid::name);
  REQUIRE(found != section.solids.end());
  return *found;
}

bool has_solid(const Section& section, const std::string& name) {
  return std::ranges::find(section.solids, name, &Solid::name) != section.solids.end();
}

/// But for the chip, whose other side it shows.
void check_same_extents(const Section& section, const Section& other) {
  CHECK_THAT(section.width, WithinAbs(other.width, 1e-9));
  CHECK_THAT(section.height, WithinAbs(other.height, 1e-9));
  CHECK_THAT(section.depth, WithinAbs(other.depth, 1e-9));
  REQUIRE(section.solids.size() == other.solids.size());
  for (std::size_t k = 0; k < section.solids.size(); ++k) {
    CAPTURE(section.solids[k].name);
    CHECK(section.solids[k].name == other.solids[k].name);
    if (section.solids[k].name == "chip") {
      continue;
    }
    CHECK_THAT(section.solids[k].extent.x0, WithinAbs(other.solids[k].extent.x0, 1e-9));
    CHECK_THAT(section.solids[k].extent.x1, WithinAbs(other.solids[k].extent.x1, 1e-9));
    CHECK_THAT(section.solids[k].extent.y0, WithinAbs(other.solids[k].extent.y0, 1e-9));
    CHECK_THAT(section.solids[k].extent.y1, WithinAbs(other.solids[k].extent.y1, 1e-9));
  }
}

} // namespace

TEST_CASE("Second plane: a stack shows its depth, and its heights become depths", "[ends]") {
  const Case the_case = flat_stack();
  const SecondPlane plane = second_plane(the_case);
  const Section& own = section_of_panel(the_case);
  const Section& other = section_of_panel(plane.the_case);
  CHECK_THAT(other.depth, WithinAbs(0.060, 1e-9));
  CHECK_THAT(other.width, WithinAbs(own.width, 1e-9));
  for (const char* name : {"plate-1", "plate-3"}) {
    CHECK_THAT(solid_of(other, name).extent.height(), WithinAbs(0.080, 1e-9));
    CHECK_THAT(solid_of(other, name).extent.x0, WithinAbs(solid_of(own, name).extent.x0, 1e-9));
  }
  // The base as large as before: 30 x 80 mm, now 40 x 60 mm.
  CHECK_THAT(solid_of(other, "base").extent.height() * other.depth,
             WithinAbs(solid_of(own, "base").extent.height() * own.depth, 1e-12));
  CHECK_THAT(solid_of(other, "board").extent.height(), WithinAbs(0.100, 1e-9));
  // Links carry as much in all.
  const auto carried = [](const Section& section) {
    double sum = 0.0;
    for (const Link& link : section.links) {
      sum += link.conductance * section.depth;
    }
    return sum;
  };
  CHECK_THAT(carried(other), WithinAbs(carried(own), 1e-9));
  REQUIRE(plane.the_case.orientations.size() == 1);
  CHECK(plane.the_case.orientations[0].name == "flat-up");
  CHECK(plane.the_case.powers == std::vector<double>{10.0}); // more are added near its limit
  CHECK(second_plane(flat_stack("powers_w", "added_powers = \"none\"\npowers_w")).the_case.powers ==
        the_case.powers);
}

TEST_CASE("Second plane: walls out of the plane are sheet unless said otherwise", "[ends]") {
  const Section off = section_of_panel(second_plane(flat_stack()).the_case, 1);
  CHECK(has_solid(off, "wall-north"));
  CHECK(has_solid(off, "wall-south"));
  CHECK_FALSE(has_solid(off, "wall-east"));
  const Section open = section_of_panel(
      second_plane(flat_stack("open = [\"east\"]", "open = [\"east\"]\nends = \"open\"")).the_case,
      1);
  CHECK_FALSE(has_solid(open, "wall-north"));
  CHECK_FALSE(has_solid(open, "wall-east"));
  CHECK(has_solid(open, "wall-west"));
  const Section grille = section_of_panel(
      second_plane(flat_stack("open = [\"east\"]",
                              "open = [\"east\"]\nends = \"grille\"\nfree_area_ratio = 0.5"))
          .the_case,
      1);
  CHECK(grille.grilles.size() == 2);
  // Grilles of the first plane are sheet in the second, whose own ends are closed.
  const Section closed = section_of_panel(
      second_plane(flat_stack("open = [\"east\"]",
                              "open = [\"east\"]\ngrille = [\"north\"]\nfree_area_ratio = 0.5"))
          .the_case,
      1);
  CHECK(closed.grilles.empty());
  CHECK(has_solid(closed, "wall-north"));
  const Section none =
      section_of_panel(second_plane(flat_stack("open = [\"east\"]",
                                               "open = [\"west\", \"east\", \"south\", \"north\"]"))
                           .the_case,
                       1);
  CHECK_FALSE(has_solid(none, "wall-north"));
}

TEST_CASE("Second plane: it is said where it lacks the fresh air of the first", "[ends]") {
  const auto says = [](const std::string& panel) {
    const std::vector<std::string> notes =
        second_plane(flat_stack("open = [\"east\"]", panel)).notes;
    return std::ranges::any_of(
        notes, [](const std::string& note) { return note.starts_with("Walls to the south"); });
  };
  CHECK_FALSE(says("open = [\"east\"]"));
  CHECK(says("open = [\"east\", \"north\"]"));
  CHECK(says("grille = [\"south\"]\nfree_area_ratio = 0.5"));
  CHECK_FALSE(says("open = [\"north\"]\nends = \"open\""));
}

TEST_CASE("Second plane: of the shipped block it is the one shipped as cut across", "[ends]") {
  const Case along = read_case("cases/face-on-block.toml");
  const Case across = read_case("cases/face-on-block-across.toml");
  const Case turned = second_plane(along).the_case;
  CHECK(turned.orientations.size() == 2);
  check_same_extents(section_of_panel(turned), section_of_panel(across));
  // And back.
  const Section again = section_of_panel(second_plane(across).the_case);
  check_same_extents(again, section_of_panel(along));
  REQUIRE(again.media.size() == 1);
  CHECK_THAT(again.media[0].gap, WithinAbs(section_of_panel(along).media[0].gap, 1e-9));
}

TEST_CASE("Second plane: depths of case and board are taken as given", "[ends]") {
  const SecondPlane plane = second_plane(
      flat_stack("height_mm = 120", "height_mm = 120\ndepth_mm = 200\nwall_thickness_mm = 2"));
  const Section& section = section_of_panel(plane.the_case);
  CHECK_THAT(section.machine->height(), WithinAbs(0.204, 1e-9));
  const Section deep =
      section_of_panel(second_plane(flat_stack("depth_mm = 80", "depth_mm = 300")).the_case);
  CHECK_THAT(deep.machine->height(), WithinAbs(0.300 + 0.040 + 0.002, 1e-9)); // 20 mm either end
  CHECK_THROWS_WITH(second_plane(flat_stack("height_mm = 120", "height_mm = 120\ndepth_mm = 70")),
                    ContainsSubstring("second plane") && ContainsSubstring("allowed") &&
                        ContainsSubstring("case.depth_mm"));
  CHECK_THROWS_WITH(
      parse_case(edited(edited(stack_text, "height_mm = 120", "height_mm = 120\ndepth_mm = 150"),
                        "height_mm = 100", "height_mm = 100\ndepth_mm = 151"),
                 "stack.toml"),
      ContainsSubstring("board.depth_mm") && ContainsSubstring("at most case.depth_mm = 150"));
}

TEST_CASE("Second plane: results of the first do not depend on what lies out of it", "[ends]") {
  const Case plain = flat_stack();
  const Case deep = flat_stack("open = [\"east\"]", "open = [\"east\"]\nends = \"open\"");
  const Case wide = flat_stack("height_mm = 120", "height_mm = 120\ndepth_mm = 200");
  CHECK(text_that_is_solved(deep.tree, true) == text_that_is_solved(plain.tree, true));
  CHECK(text_that_is_solved(wide.tree, true) == text_that_is_solved(plain.tree, true));
}

TEST_CASE("Second plane: what has none is refused with what to do", "[ends]") {
  CHECK_THROWS_WITH(second_plane(parse_case(stack_text, "stack.toml")),
                    ContainsSubstring("no orientation lying flat") &&
                        ContainsSubstring("stack.toml:7"));
  CHECK_THROWS_WITH(second_plane(read_case("cases/ring.toml")), ContainsSubstring("[ring]"));
  CHECK_THROWS_WITH(second_plane(read_case("cases/square-cavity.toml")),
                    ContainsSubstring("a drawn section"));
  const std::string part = "[[part]]\nname = \"coil\"\nx_mm = [50, 55]\ny_mm = [2, 6]\n"
                           "conductivity_w_per_mk = 1\n[board]";
  CHECK_THROWS_WITH(second_plane(flat_stack("[board]", part)), ContainsSubstring("[[part]]"));
}

TEST_CASE("Second plane: a case says that there is one where there is", "[ends]") {
  const auto says = [](const char* file) {
    return std::ranges::any_of(read_case(file).notes, [](const std::string& note) {
      return note.find("tiltfin ends") != std::string::npos;
    });
  };
  CHECK(says("cases/large-stack.toml"));
  CHECK(says("cases/face-on-block.toml"));
  CHECK_FALSE(says("cases/ring.toml"));
  CHECK_FALSE(says("cases/square-cavity.toml"));
}

TEST_CASE("Second plane: only gravity along x alone lies flat", "[ends]") {
  CHECK(lies_flat(named_orientation("flat-up")));
  CHECK(lies_flat(tilted_orientation(-90.0)));
  CHECK_FALSE(lies_flat(named_orientation("upright")));
  CHECK_FALSE(lies_flat(tilted_orientation(80.0)));
  CHECK_FALSE(lies_flat(named_orientation("quarter-left")));
}
