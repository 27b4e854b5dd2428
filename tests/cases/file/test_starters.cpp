// The cases that `tiltfin new` writes; that the program solves them: tests/cases/commands.
#include "cases/file/case.hpp"
#include "cases/file/starters.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <sstream>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

bool has_orientation(const Case& the_case, const std::string& wanted) {
  return std::ranges::any_of(the_case.orientations, [&](const Orientation& orientation) {
    return orientation.name.starts_with(wanted);
  });
}

} // namespace

TEST_CASE("Starters: every cooler with a table of its own has one that is read as such",
          "[starters]") {
  CHECK(starters().size() == cooler_kinds().size());
  for (const CoolerKind& kind : cooler_kinds()) {
    CAPTURE(kind.table);
    const Case the_case = parse_case(starter_text(kind.table), "starter.toml");
    CHECK(table_of(the_case.cooler) == kind.table);
    CHECK(the_case.powers.size() >= 3); // the fewest that a trend is drawn through
    CHECK(has_orientation(the_case, "upright"));
    CHECK(has_orientation(the_case, "flat"));
    CHECK_THAT(the_case.title, ContainsSubstring("invented"));
  }
}

TEST_CASE("Starters: every key has a comment, and lengths say where they lie", "[starters]") {
  for (const Starter& starter : starters()) {
    std::istringstream text(starter.text);
    int n_keys = 0;
    std::string before;
    for (std::string line; std::getline(text, line); before = line) {
      const std::size_t sign = line.find(" = ");
      if (sign == std::string::npos || line.front() == '#' || line.starts_with("title")) {
        continue;
      }
      CAPTURE(starter.type, line);
      CHECK((line.find('#', sign) != std::string::npos || before.starts_with("# ")));
      CHECK(line.size() <= 110);
      ++n_keys;
    }
    CHECK(n_keys > 20);
  }
}

TEST_CASE("Starters: an unknown type is refused with those there are", "[starters]") {
  CHECK_THROWS_WITH(starter_text("blok"),
                    "new: found \"blok\", allowed block, ring, stack; nearest 'block'");
  CHECK_THROWS_WITH(starter_text(""), ContainsSubstring("block, ring, stack") &&
                                          ContainsSubstring("tiltfin new block -o my.toml"));
}
