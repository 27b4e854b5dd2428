// What is suggested in place of an unknown word.
#include "cases/geometry/finishes.hpp"
#include "cases/input/toml_reader.hpp"
#include "tests/catch.hpp"

#include <string>
#include <vector>

using namespace tiltfin;

TEST_CASE("Nearest: words that hold what was written come before those of like spelling",
          "[nearest]") {
  const std::vector<std::string> finishes = finish_keys().front().options;
  // "none" needs fewer changes, and is the opposite of what was meant.
  CHECK(nearest("anodised", finishes) == "'clear-anodised', 'black-anodised', 'blue-anodised', "
                                         "'gold-anodised' or 'brown-anodised'");
  CHECK(nearest("Aluminium", finishes) == "'polished-aluminium' or 'bare-aluminium'");
  CHECK(nearest("black", finishes) == "'black-anodised'");
  CHECK(nearest("margin", std::vector<std::string>{"marrow", "margin_mm"}) == "'margin_mm'");
}

TEST_CASE("Nearest: what no word holds, or is too short, goes by spelling", "[nearest]") {
  const std::vector<std::string> known{"upright", "flat-up", "flat-down"};
  CHECK(nearest("uprihgt", known) == "'upright'");
  CHECK(nearest("up", known) == "'upright'"); // two letters that are in several tell nothing
  CHECK(nearest("flat", known) == "'flat-up' or 'flat-down'");
  CHECK(nearest("", known) == "'upright'");
  CHECK(nearest("x", std::vector<std::string>{}).empty());
}
