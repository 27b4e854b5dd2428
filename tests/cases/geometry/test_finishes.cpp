#include "cases/file/case.hpp"
#include "cases/geometry/finishes.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <set>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

const Solid& named(const Section& section, const std::string& name) {
  for (const Solid& solid : section.solids) {
    if (solid.name == name) {
      return solid;
    }
  }
  throw std::runtime_error("no solid " + name);
}

} // namespace

TEST_CASE("Finishes: the table has the anodised values of its source", "[finishes]") {
  std::set<std::string> names;
  for (const Finish& finish : known_finishes()) {
    CAPTURE(finish.name);
    CHECK(names.insert(finish.name).second);
    CHECK(finish.emissivity >= 0.0);
    CHECK(finish.emissivity < 1.0);
    CHECK_FALSE(finish.source.empty());
    // NASA RP-1121, 1984, printed to two digits.
    if (finish.name == "clear-anodised") {
      CHECK(finish.emissivity == 0.76);
    }
    if (finish.name == "black-anodised") {
      CHECK(finish.emissivity == 0.82);
    }
  }
  CHECK(names.contains("none"));
}

TEST_CASE("Finishes: board, case and cooler take theirs", "[finishes]") {
  std::string text = edited(stack_text, "[board]\n", "[board]\nemissivity = 0.91\n");
  text = edited(text, "[stack]\n", "[stack]\nfinish = \"black-anodised\"\n");
  text = edited(text, "height_mm = 120\n", "height_mm = 120\nfinish = \"painted\"\n");
  text += "[mesh]\nradiant_zone_mm = 12\n";
  const Case the_case = parse_case(text, "t.toml");
  REQUIRE(the_case.panels.size() == 2);
  const Section& section = the_case.panels[0].sections.front();
  CHECK(named(section, "board").emissivity == 0.91);
  CHECK(named(section, "chip").emissivity == 0.91);
  CHECK(named(section, "base").emissivity == 0.82);
  CHECK(named(section, "plate-2").emissivity == 0.82);
  CHECK(named(section, "wall-west").emissivity == 0.9);
  CHECK_THAT(section.radiant_zone, WithinRel(0.012, 1e-12));
  CHECK(the_case.panels[0].finish.empty());
}

TEST_CASE("Finishes: walls that are sides of the section radiate inside", "[finishes]") {
  const Case the_case = parse_case(
      edited(block_text, "height_mm = 120\n", "height_mm = 120\nemissivity = 0.7\n"), "t.toml");
  for (const Side& side : the_case.panels[0].sections.front().sides) {
    CHECK(side.emissivity == 0.7);
  }
}

TEST_CASE("Finishes: a list makes every panel state once with each", "[finishes]") {
  const Case the_case =
      parse_case(edited(stack_text, "[stack]\n",
                        "[stack]\nfinish = [\"bare-aluminium\", \"black-anodised\"]\n"),
                 "t.toml");
  REQUIRE(the_case.panels.size() == 4);
  CHECK(the_case.panels[0].name == "on-bare-aluminium");
  CHECK(the_case.panels[1].name == "off-bare-aluminium");
  CHECK(the_case.panels[3].name == "off-black-anodised");
  CHECK(the_case.panels[3].finish == "black-anodised");
  CHECK(named(the_case.panels[0].sections.front(), "base").emissivity == 0.2);
  CHECK(named(the_case.panels[3].sections.front(), "base").emissivity == 0.82);
}

TEST_CASE("Finishes: drawn solids and sides take theirs", "[finishes]") {
  std::string text = edited(drawn_text, "temperature_c = 30\n",
                            "temperature_c = 30\nfinish = \"steel-oxidised\"\n");
  text = edited(text, "x_mm = [20, 24]\n", "x_mm = [20, 24]\nemissivity = 0.3\n");
  const Section section = parse_case(text, "t.toml").panels[0].sections.front();
  CHECK(section.sides[west].emissivity == 0.8);
  CHECK(section.sides[east].emissivity == 0.0);
  CHECK(section.solids[0].emissivity == 0.3);
}

TEST_CASE("Finishes: what is wrong is refused with what is allowed", "[finishes]") {
  CHECK_THAT(refusal(edited(stack_text, "[board]\n", "[board]\nfinish = \"blak\"\n")),
             ContainsSubstring("key 'board.finish': found \"blak\", allowed none, "));
  CHECK_THAT(refusal(edited(stack_text, "[board]\n", "[board]\nemissivity = 1.2\n")),
             ContainsSubstring("key 'board.emissivity': found 1.2, allowed "));
  CHECK_THAT(
      refusal(edited(stack_text, "[stack]\n", "[stack]\nfinish = \"painted\"\nemissivity = 0.5\n")),
      ContainsSubstring("found both finish and emissivity, allowed one of them"));
  CHECK_THAT(refusal(edited(stack_text, "[stack]\n", "[stack]\nfinish = []\n")),
             ContainsSubstring("key 'stack.finish': found an empty list, allowed at least one of"));
  CHECK_THAT(refusal(edited(drawn_text, "outside_c = 10\n", "outside_c = 10\nemissivity = 1\n")),
             ContainsSubstring("key 'sides.north.emissivity': found a key that a side of kind"));
}
