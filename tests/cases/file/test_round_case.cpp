// A section drawn by hand as a body of revolution: what is read, and what is refused where.
#include "cases/file/case.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <numbers>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;
using Catch::Matchers::WithinRel;

namespace {

std::string round_text(const std::string& distance) {
  return edited(drawn_text, "depth_mm = 500", "axis_distance_mm = " + distance);
}

} // namespace

TEST_CASE("Round case: sizes, links and spokes are those of the whole body", "[case][round]") {
  const std::string fins = "[[medium]]\nname = \"fins\"\nx_mm = [80, 90]\ny_mm = [20, 60]\n"
                           "gap_mm = 4\nfin_thickness_mm = 1\nconductivity_w_per_mk = 200\n";
  const Case the_case = case_of(edited(round_text("10"), "[[link]]", fins + "[[link]]"));
  const Section& section = the_case.panels.front().sections.front();
  REQUIRE(section.axis_distance);
  CHECK(*section.axis_distance == 0.010);
  const double outermost = 2.0 * std::numbers::pi * 0.090; // circumference
  CHECK_THAT(section.depth, WithinRel(outermost, 1e-12));
  CHECK_THAT(section.links.front().conductance * section.depth, WithinRel(3.0, 1e-12));
  CHECK_THAT(depth_ratio(section).at(0.080), WithinRel(1.0, 1e-12));
  CHECK_THAT(depth_ratio(section).at(0.0), WithinRel(10.0 / 90.0, 1e-12));
  // As many fins at every radius: gap and fin are 5 mm at 50 mm from the axis.
  const FinMedium& medium = section.media.front();
  CHECK_THAT(medium.gap_at(0.060) + medium.fin_thickness, WithinRel(0.007, 1e-12));
  CHECK(the_case.notes.front().rfind("The section is turned about an axis along x, 10 mm", 0) == 0);
}

TEST_CASE("Round case: what cannot be turned is refused at its line", "[case][round]") {
  CHECK_NOTHROW(case_of(round_text("0")));
  CHECK(refusal(edited(round_text("0"), "height_mm = 80", "height_mm = 80\ndepth_mm = 500")) ==
        "t.toml:6: key 'section.depth_mm': found a depth beside axis_distance_mm, allowed one of "
        "the two: a body of revolution is as deep as its rings are long");
  CHECK(refusal(edited(round_text("0"), "kind = \"symmetry\"", "kind = \"insulated\"")) ==
        "t.toml:18: key 'sides.south.kind': found a wall or an opening on the axis, allowed "
        "\"symmetry\" where section.axis_distance_mm is 0");
  CHECK_NOTHROW(
      case_of(edited(round_text("0"), "role = \"source\"", "role = \"source\"\nemissivity = 0.8")));
  CHECK_THAT(
      refusal(edited(round_text("0"), "powers_w = [20]", "powers_w = [20]\ntilts = [0, 90]")),
      ContainsSubstring("found tilt-0, allowed flat-up, flat-down or a tilt of 90 or -90; "
                        "orientation tilt-0: gravity does not point along x"));
  CHECK_NOTHROW(
      case_of(edited(round_text("0"), "powers_w = [20]", "powers_w = [20]\ntilts = [90, 270]")));
  CHECK_THAT(refusal(round_text("-1")),
             ContainsSubstring("t.toml:6: key 'section.axis_distance_mm': found -1, allowed"));
}
