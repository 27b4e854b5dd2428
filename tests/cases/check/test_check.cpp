#include "cases/check/check.hpp"
#include "cases/check/cost.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/radiation.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// The square cavity whose Rayleigh number its own file works out: exactly 1e6, Pr 0.71.
Case cavity() {
  return read_case("cases/square-cavity.toml");
}

bool any_contains(const std::vector<std::string>& sentences, const std::string& text) {
  for (const std::string& sentence : sentences) {
    if (sentence.find(text) != std::string::npos) {
      return true;
    }
  }
  return false;
}

} // namespace

TEST_CASE("Check: the governing numbers of the square cavity are those of its definition",
          "[check]") {
  const std::string report = check_report(cavity(), "square-cavity.toml");
  CHECK_THAT(report, ContainsSubstring("sides' difference of 10 K"));
  CHECK_THAT(report, ContainsSubstring("Ra = 1e+06"));
  CHECK_THAT(report, ContainsSubstring("Pr = 0.71"));
}

TEST_CASE("Check: the report names sides, solids, defaults and cost", "[check]") {
  const Case the_case = parse_case(tiny_case_text("[0.1]", R"(["upright"])"), "tiny.toml");
  const std::string report = check_report(the_case, "tiny.toml");
  for (const char* text : {"tiny.toml", "block in a box", "side west", "isothermal, 25 degC",
                           "side north", "insulated", "10-14", "8-12", "cells,", "unknowns",
                           "assumed rise of 50 K", "Expected with"}) {
    CHECK_THAT(report, ContainsSubstring(text));
  }
  REQUIRE_FALSE(the_case.defaults.empty());
  for (const std::string& line : the_case.defaults) {
    CHECK_THAT(report, ContainsSubstring(line));
  }
}

TEST_CASE("Check: it warns of gravity outside the section", "[check]") {
  const std::string text = tiny_case_text("[0.1]", R"(["quarter-right"])");
  CHECK(any_contains(case_warnings(parse_case(text, "tiny.toml")), "quarter-right"));
  const std::string inside = tiny_case_text("[0.1]", R"(["upright", 30])");
  CHECK_FALSE(any_contains(case_warnings(parse_case(inside, "tiny.toml")), "gravity"));
}

TEST_CASE("Check: it warns of gaps with fewer than six cells", "[check]") {
  std::string text = tiny_case_text("[0.1]", R"(["upright"])");
  CHECK_FALSE(any_contains(case_warnings(parse_case(text, "tiny.toml")), "fewer than 6"));
  const std::string asked = "cells_per_gap = 6";
  text.replace(
      text.find(asked), asked.size(),
      "cells_per_gap = 2\ncells_per_sheet = 1\ngrowth = 2\nwall_cell_mm = 4\nlargest_cell_mm = 4");
  const std::vector<std::string> warnings = case_warnings(parse_case(text, "tiny.toml"));
  CHECK(any_contains(warnings, "between block and side"));
  CHECK(any_contains(warnings, "fewer than 6"));
}

TEST_CASE("Check: it warns where the Boussinesq approximation ends", "[check]") {
  // Expansion 4.4375e-3 / K times 10 K is 0.044, times 40 K is 0.18; the limit is 0.1.
  Case the_case = cavity();
  CHECK(case_warnings(the_case).empty());
  the_case.panels[0].sections.front().sides[west].temperature += 30.0;
  CHECK(any_contains(case_warnings(the_case), "Boussinesq"));
}

TEST_CASE("Check: twice the chains on the same threads take twice the time", "[check]") {
  const Case two = parse_case(tiny_case_text("[0.1]", R"(["upright", "flat-up"])"), "tiny.toml");
  const Case four =
      parse_case(tiny_case_text("[0.1]", R"(["upright", "flat-up", 30, 60])"), "tiny.toml");
  // Exact but for rounding: the meshes are the same.
  CHECK_THAT(expected_cost(four, 2).seconds, WithinRel(2.0 * expected_cost(two, 2).seconds, 1e-12));
  CHECK(expected_cost(four, 2).threads == 2);
  Case listed_only = four;
  listed_only.adds_powers = false;
  CHECK(expected_cost(listed_only, 2).seconds < expected_cost(four, 2).seconds);
  CHECK(expected_cost(listed_only, 2).first_seconds == expected_cost(four, 2).first_seconds);
  CHECK(expected_cost(two, 8).threads == 2);
  CHECK(expected_cost(four, 2).memory_gib == expected_cost(two, 2).memory_gib);
}

TEST_CASE("Check: a cost counts unknowns without those of radiation, some per cent", "[check]") {
  const Case the_case = read_case("cases/starters/block.toml");
  const Section& section = the_case.panels.front().sections.front();
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  const int n_zones = make_radiant_zones(section, mesh).n();
  REQUIRE(n_zones > 50);
  const int all = count_unknowns(the_case, section, mesh);
  CHECK(all - count_unknowns_of_flow(the_case, section, mesh) == 2 * n_zones);
  CHECK(20 * n_zones < all);
}

TEST_CASE("Check: a sweep of tilts is counted, each step as a condition from rest", "[check]") {
  Case still = parse_case(tiny_case_text("[0.1]", R"(["upright"])"), "tiny.toml");
  still.adds_powers = false;
  Case turned = still;
  turned.tilts.angles_deg = {0.0, 90.0, 180.0, 270.0};
  Case further = still;
  further.tilts.angles_deg = {0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0};
  const double none = expected_cost(still, 1).seconds;
  const double four = expected_cost(turned, 1).seconds - none;
  // Eight steps of four angles cost as much as first numbers of one condition eight times.
  CHECK_THAT(four, WithinRel(8.0 * expected_cost(still, 1).first_seconds, 1e-12));
  CHECK_THAT(expected_cost(further, 1).seconds - none, WithinRel(2.0 * four, 1e-12));
  CHECK_THAT(check_report(turned, "tiny.toml"),
             ContainsSubstring("4 angles from 0 to 270 degrees, each from either side: 8 steps"));
  CHECK_THAT(check_report(still, "tiny.toml"), !ContainsSubstring("angles from"));
}
