#include "mesh/mesh_error.hpp"
#include "mesh/section.hpp"
#include "tests/catch.hpp"
#include "tests/mesh/fixtures.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <string>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A base with three fins that point east, in a closed box of 100 x 100 mm.
///
///   fins 0.030 to 0.070 in x, at y = 0.020, 0.040, 0.060, each 0.004 thick
Section comb() {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.solids.push_back(solid("base", {0.020, 0.030, 0.010, 0.090}, Role::base));
  section.solids.push_back(solid("fin 1", {0.030, 0.070, 0.020, 0.024}));
  section.solids.push_back(solid("fin 2", {0.030, 0.070, 0.040, 0.044}));
  section.solids.push_back(solid("fin 3", {0.030, 0.070, 0.060, 0.064}));
  section.base = 0;
  return section;
}

const Gap* find(const std::vector<Gap>& gaps, bool across_x, int a, int b) {
  const auto found = std::find_if(gaps.begin(), gaps.end(), [&](const Gap& gap) {
    return gap.across_x == across_x && gap.solid_a == a && gap.solid_b == b;
  });
  return found == gaps.end() ? nullptr : &*found;
}

void check_rectangle(const Rectangle& found, const Rectangle& expected) {
  CHECK_THAT(found.x0, WithinAbs(expected.x0, rounding));
  CHECK_THAT(found.x1, WithinAbs(expected.x1, rounding));
  CHECK_THAT(found.y0, WithinAbs(expected.y0, rounding));
  CHECK_THAT(found.y1, WithinAbs(expected.y1, rounding));
}

std::string refusal(const Section& section) {
  try {
    check(section);
  } catch (const MeshError& error) {
    return error.what();
  }
  return "";
}

} // namespace

TEST_CASE("Gaps: a comb has one between each two fins, over the fins' length", "[section]") {
  const std::vector<Gap> gaps = find_gaps(comb());
  const Gap* first = find(gaps, false, 1, 2);
  const Gap* second = find(gaps, false, 2, 3);
  REQUIRE(first != nullptr);
  REQUIRE(second != nullptr);
  check_rectangle(first->extent, {0.030, 0.070, 0.024, 0.040});
  check_rectangle(second->extent, {0.030, 0.070, 0.044, 0.060});
  CHECK_THAT(first->size(), WithinAbs(0.016, rounding));
  CHECK(find(gaps, false, 1, 3) == nullptr); // fin 2 stands between
}

TEST_CASE("Gaps: sides bound runs, and strips that go on are one gap", "[section]") {
  const std::vector<Gap> gaps = find_gaps(comb());
  // West of the base, cut into strips by the fins' edges, is still one gap.
  CHECK(std::count_if(gaps.begin(), gaps.end(), [](const Gap& gap) {
          return gap.across_x && gap.solid_a == -1 && gap.solid_b == 0;
        }) == 1);
  const Gap* west_of_base = find(gaps, true, -1, 0);
  REQUIRE(west_of_base != nullptr);
  check_rectangle(west_of_base->extent, {0.0, 0.020, 0.010, 0.090});
  // Below and above the base the run goes from side to side: two gaps of the same pair.
  CHECK(std::count_if(gaps.begin(), gaps.end(), [](const Gap& gap) {
          return gap.across_x && gap.solid_a == -1 && gap.solid_b == -1;
        }) == 2);
  const Gap* tip = find(gaps, true, 2, -1);
  REQUIRE(tip != nullptr);
  check_rectangle(tip->extent, {0.070, 0.1, 0.040, 0.044});
}

TEST_CASE("Gaps: every air point of a closed section lies in one run of either direction",
          "[section]") {
  const Section section = comb();
  const std::vector<Gap> gaps = find_gaps(section);
  double air = section.width * section.height;
  for (const Solid& part : section.solids) {
    air -= part.extent.width() * part.extent.height();
  }
  for (const bool across_x : {true, false}) {
    double covered = 0.0;
    for (const Gap& gap : gaps) {
      covered += gap.across_x == across_x ? gap.extent.width() * gap.extent.height() : 0.0;
    }
    CHECK_THAT(covered, WithinAbs(air, rounding));
  }
}

TEST_CASE("Gaps: open sides and symmetry bound none", "[section]") {
  for (const SideKind kind : {SideKind::open, SideKind::symmetry}) {
    Section section = comb();
    for (Side& side : section.sides) {
      side.kind = kind;
    }
    for (const Gap& gap : find_gaps(section)) {
      CHECK(gap.solid_a >= 0);
      CHECK(gap.solid_b >= 0);
    }
    CHECK(find(find_gaps(section), false, 1, 2) != nullptr);
  }
}

TEST_CASE("Gaps: an empty box is its own gap in both directions", "[section]") {
  Section section;
  section.width = 0.2;
  section.height = 0.3;
  const std::vector<Gap> gaps = find_gaps(section);
  REQUIRE(gaps.size() == 2);
  CHECK_THAT(gaps[0].size(), WithinAbs(0.2, rounding));
  CHECK_THAT(gaps[1].size(), WithinAbs(0.3, rounding));
}

TEST_CASE("Gaps: solids that touch have none between them", "[section]") {
  CHECK(find(find_gaps(comb()), true, 0, 1) == nullptr);
}

TEST_CASE("Gaps: fin gaps are those between fins and base only", "[section]") {
  Section section = comb();
  section.solids.push_back(solid("board", {0.002, 0.004, 0.0, 0.1}, Role::board));
  const std::vector<Gap> gaps = fin_gaps(section);
  REQUIRE(gaps.size() == 2);
  CHECK(find(gaps, false, 1, 2) != nullptr);
  CHECK(find(gaps, false, 2, 3) != nullptr);
}

TEST_CASE("Check: a sound section passes, touching solids included", "[section]") {
  CHECK(refusal(comb()).empty());
}

TEST_CASE("Check: overlapping solids are named with their extents", "[section]") {
  Section section = comb();
  section.solids[2].extent.y0 = 0.023;
  CHECK(refusal(section) == "The solids \"fin 1\" (x from 30 to 70 mm, y from 20 to 24 mm) and "
                            "\"fin 2\" (x from 30 to 70 mm, y from 23 to 44 mm) overlap.");
}

TEST_CASE("Check: a solid outside the section or without area is refused", "[section]") {
  Section outside = comb();
  outside.solids[3].extent.x1 = 0.101;
  CHECK(refusal(outside) == "The solid \"fin 3\" reaches outside the section (x from 30 to 101 mm, "
                            "y from 60 to 64 mm; the section is 100 mm wide and 100 mm high).");
  Section flat = comb();
  flat.solids[3].extent.y1 = flat.solids[3].extent.y0;
  CHECK_THAT(refusal(flat), ContainsSubstring("The solid \"fin 3\" has no area"));
  Section turned = comb();
  std::swap(turned.solids[3].extent.y0, turned.solids[3].extent.y1);
  CHECK_THAT(refusal(turned), ContainsSubstring("The solid \"fin 3\" has no area"));
  Section machine = comb();
  machine.machine = Rectangle{0.05, 0.15, 0.05, 0.06};
  CHECK_THAT(refusal(machine),
             ContainsSubstring("The machine's outline reaches outside the section"));
}

TEST_CASE("Check: sizes and properties must be positive and finite", "[section]") {
  for (const double bad : {0.0, -1.0, std::nan(""), std::numeric_limits<double>::infinity()}) {
    Section depth = comb();
    depth.depth = bad;
    CHECK_THAT(refusal(depth), ContainsSubstring("width, height and depth of the section"));
    Section metal = comb();
    metal.solids[1].conductivity_y = bad;
    CHECK_THAT(refusal(metal), ContainsSubstring("The solid \"fin 1\" needs positive, finite "
                                                 "conductivities"));
    Section side = comb();
    side.sides[south].temperature = bad;
    CHECK_THAT(refusal(side), ContainsSubstring("The south side needs a temperature"));
    Section film = comb();
    film.sides[north].kind = SideKind::film;
    film.sides[north].film = bad;
    CHECK_THAT(refusal(film), ContainsSubstring("The north side needs a positive film"));
  }
  Section share = comb();
  share.solids[0].heat_share = -0.5;
  CHECK(refusal(share) == "The solid \"base\" needs a share of the power that is not negative, "
                          "found -0.5.");
}

TEST_CASE("Check: links and contacts must name two solids that are there", "[section]") {
  Section link = comb();
  link.links.push_back({"column", 1, {0.03, 0.04, 0.02, 0.03}, 4, {0.03, 0.04, 0.06, 0.07}, 2.0});
  CHECK(refusal(link) == "The link \"column\" names solid number 4, but the section has 4 solids.");
  link.links[0].solid_b = 1;
  CHECK_THAT(refusal(link), ContainsSubstring("joins the solid \"fin 1\" to itself"));
  link.links[0].solid_b = 3;
  CHECK(refusal(link).empty());
  link.links[0].patch_b = {0.08, 0.09, 0.06, 0.07};
  CHECK(refusal(link) ==
        "The link \"column\" has a patch (x from 80 to 90 mm, y from 60 to 70 mm) that misses its "
        "solid \"fin 3\" (x from 30 to 70 mm, y from 60 to 64 mm).");
  Section contact = comb();
  contact.contacts.push_back({0, -1, 1e-4});
  CHECK_THAT(refusal(contact), ContainsSubstring("A contact names solid number -1"));
  contact.contacts[0] = {0, 1, -1e-4};
  CHECK_THAT(refusal(contact), ContainsSubstring("A contact needs a resistance"));
  Section base = comb();
  base.base = 4;
  CHECK_THAT(refusal(base), ContainsSubstring("The base is solid number 4"));
}

TEST_CASE("Check: an opening must be a straight line inside the section", "[section]") {
  Section section = comb();
  section.openings.push_back({"grille", {0.0, 0.0, 0.02, 0.05}});
  CHECK(refusal(section).empty());
  section.openings[0].line.x1 = 0.01;
  CHECK_THAT(refusal(section), ContainsSubstring("The opening \"grille\" is not a straight line"));
  section.openings[0].line = {0.2, 0.2, 0.02, 0.05};
  CHECK_THAT(refusal(section), ContainsSubstring("\"grille\" reaches outside the section"));
}

TEST_CASE("Check: a fin medium lies clear of solids and of other media", "[section]") {
  Section section = comb();
  section.media.push_back({"bundle", {0.075, 0.095, 0.02, 0.06}, 4e-3, 1e-3, 200.0});
  CHECK(refusal(section).empty());
  section.media[0].extent.x0 = 0.07; // touches fin 1
  CHECK(refusal(section).empty());
  section.media[0].extent.x0 = 0.065;
  CHECK(refusal(section) ==
        "The fin medium \"bundle\" (x from 65 to 95 mm, y from 20 to 60 mm) overlaps the solid "
        "\"fin 1\" (x from 30 to 70 mm, y from 20 to 24 mm).");
  section.media[0].extent.x0 = 0.075;
  section.media.push_back({"second", {0.09, 0.1, 0.05, 0.07}, 4e-3, 1e-3, 200.0});
  CHECK_THAT(refusal(section), ContainsSubstring("overlaps the fin medium \"second\""));
  section.media[1].extent.y0 = 0.06;
  CHECK(refusal(section).empty());
  section.media[1].extent.x1 = 0.11;
  CHECK_THAT(refusal(section), ContainsSubstring("\"second\" reaches outside the section"));
  section.media.pop_back();
  section.media[0].gap = 0.0;
  CHECK_THAT(refusal(section), ContainsSubstring("needs a positive, finite gap"));
  section.media[0].gap = 4e-3;
  section.media[0].heat_share = -0.1;
  CHECK_THAT(refusal(section), ContainsSubstring("needs a share of the power"));
  section.media[0].heat_share = 0.0;
  section.media[0].profile = 0.9;
  CHECK_THAT(refusal(section), ContainsSubstring("needs a velocity profile of at least 1"));
}

TEST_CASE("Check: a grille is a straight line that runs through no solid", "[section]") {
  Section section = comb();
  section.grilles.push_back({"sheet", {0.0, 0.1, 0.095, 0.095}, 100.0, 5.0});
  CHECK(refusal(section).empty());
  section.grilles[0].line = {0.0, 0.1, 0.064, 0.064}; // through the base, along a fin
  CHECK_THAT(refusal(section), ContainsSubstring("runs through the solid \"base\""));
  section.grilles[0].line = {0.03, 0.1, 0.064, 0.064}; // along the surface of a fin
  CHECK(refusal(section).empty());
  section.grilles[0].line.y1 = 0.07;
  CHECK_THAT(refusal(section), ContainsSubstring("is not a straight line"));
  section.grilles[0].line.y1 = 0.064;
  section.grilles[0].quadratic = -1.0;
  CHECK_THAT(refusal(section), ContainsSubstring("needs losses that are not negative"));
  CHECK_THROWS_AS(grille_losses(1.0, 3e-3, 1e-3), MeshError);
  CHECK_THROWS_AS(grille_losses(0.4, 0.0, 1e-3), MeshError);
}

TEST_CASE("Section: two thousand solids are checked for overlaps in a moment", "[section]") {
  // Texts that nobody read were made for every pair: 1,600 solids took ten seconds.
  Section section;
  section.width = section.height = 1.0;
  section.sides[0].kind = SideKind::isothermal;
  for (int i = 0; i < 45; ++i) {
    for (int j = 0; j < 45; ++j) {
      Solid solid;
      solid.name = std::to_string(i) + "-" + std::to_string(j);
      solid.extent = {0.02 * i, 0.02 * i + 0.01, 0.02 * j, 0.02 * j + 0.01};
      section.solids.push_back(solid);
    }
  }
  const auto start = std::chrono::steady_clock::now();
  check(section);
  const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
  CHECK(taken.count() < 1.0);           // some milliseconds, and room for a busy machine
  section.solids[7].extent.x1 += 0.015; // into the column beside it
  CHECK_THROWS_WITH(check(section), ContainsSubstring("\"0-7\"") && ContainsSubstring("\"1-7\""));
}
