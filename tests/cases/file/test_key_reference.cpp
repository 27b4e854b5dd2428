// The page of keys that readers get. That cases/README.md shows it: tests/check_documents.cmake.
#include "cases/file/case_keys.hpp"
#include "cases/file/key_reference.hpp"
#include "tests/catch.hpp"

#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

void check_all_are_there(const KeyTable& keys, const std::string& page) {
  for (const Key& key : keys) {
    CAPTURE(key.name);
    if (key.table != nullptr) {
      check_all_are_there(*key.table, page);
    } else {
      CHECK_THAT(page, ContainsSubstring("\n| `" + key.name + "` | "));
    }
  }
}

std::size_t count(const std::string& text, const std::string& part) {
  std::size_t n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) {
    ++n;
  }
  return n;
}

} // namespace

TEST_CASE("Key reference: every key has a row with unit, default, bounds and meaning",
          "[key_reference]") {
  const std::string page = key_reference();
  check_all_are_there(case_keys(), page);
  CHECK_THAT(page, ContainsSubstring("| `temperature_c` | degrees Celsius | 25 | a number from -70 "
                                     "to 250 | of the room's air |\n"));
  CHECK_THAT(page, ContainsSubstring("| `fins_run` |  | \"across\" | `across`, `along` |"));
  CHECK_THAT(page, ContainsSubstring("| `plates` |  | must be given | a whole number from 1 to 100 "
                                     "|"));
  // What several tables share is said once.
  CHECK(count(page, "\n| `chip_length_mm` |") == 1);
  CHECK(count(page, "\n| `time_unit` |") == 1);
  CHECK(count(page, "`[sides.west]`, `[sides.east]`, `[sides.south]`, `[sides.north]`") == 1);
}

TEST_CASE("Key reference: some tables alone, and none that is unknown", "[key_reference]") {
  const std::string panel = key_reference({"panel"});
  CHECK_THAT(panel, ContainsSubstring("`[[case.panel]]`") && !ContainsSubstring("`[case]`"));
  // A cooler with what all coolers have.
  const std::string ring = key_reference({"ring"});
  CHECK_THAT(ring, ContainsSubstring("`core_diameter_mm`") &&
                       ContainsSubstring("`chip_length_mm`") && !ContainsSubstring("`fin_gap_mm`"));
  CHECK_THROWS_WITH(key_reference({"boards"}), ContainsSubstring("keys: found \"boards\"") &&
                                                   ContainsSubstring("nearest 'board'"));
}
