#include "cases/file/case_difference.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// The stack with `tables` before its conditions, turned by quarters (a surface follows gravity).
Case with_tables(const std::string& tables) {
  return parse_case(edited(edited(stack_text, "[conditions]", tables + "[conditions]"),
                           "[\"upright\", 30]", "[\"upright\", \"flat-up\"]"),
                    "t.toml");
}

Case with_desk(const std::string& distance_mm) {
  return with_tables("[[room.surface]]\nat = \"below\"\ndistance_mm = " + distance_mm + "\n");
}

Case with_disk(const std::string& power_w) {
  return with_tables("[[part]]\nname = \"disk\"\nx_mm = [40, 55]\ny_mm = [5, 15]\n"
                     "conductivity_w_per_mk = [2, 20]\npower_w = " +
                     power_w + "\n");
}

} // namespace

TEST_CASE("Case difference: a surface of the room at another distance is another condition",
          "[difference]") {
  const auto difference = differing_condition(with_desk("5"), with_desk("40"));
  REQUIRE(difference.has_value());
  CHECK(difference->key == "room.surface[1].distance_mm");
  CHECK(difference->first == "5");
  CHECK(difference->second == "40");
  CHECK_FALSE(differing_condition(with_desk("5"), with_desk("5.0")).has_value());

  const auto missing = differing_condition(with_desk("5"), with_tables(""));
  REQUIRE(missing.has_value());
  CHECK(missing->key == "room.surface[1]");
  CHECK(missing->second == "not given");
}

TEST_CASE("Case difference: parts are compared one by one", "[difference]") {
  const std::vector<KeyDifference> differences =
      differing_keys(with_disk("3"), with_disk("4"), "part");
  REQUIRE(differences.size() == 1);
  CHECK(differences[0].key == "part[1].power_w");
  CHECK(differences[0].first == "3");
  CHECK(differences[0].second == "4");
  CHECK(differing_keys(with_disk("3"), with_disk("3"), "part").empty());
  CHECK(differing_keys(with_disk("3"), with_tables(""), "part").size() == 1);
}

TEST_CASE("Case difference: a default written out is no difference, nor is the order of a list",
          "[difference]") {
  const Case plain = with_tables("");
  const Case written = with_tables("[limit]\ntemperature_c = 100\ndie_to_base_k_per_w = 0\n");
  CHECK_FALSE(differing_condition(plain, written).has_value());
  const Case turned = parse_case(
      edited(edited(stack_text, "[conditions]", "[limit]\ntemperature_c = 100\n[conditions]"),
             "[\"upright\", 30]", "[\"flat-up\", \"upright\"]"),
      "t.toml");
  CHECK_FALSE(differing_condition(plain, turned).has_value());
  const Case cooler_limit = with_tables("[limit]\ntemperature_c = 90\n");
  REQUIRE(differing_condition(plain, cooler_limit).has_value());
  CHECK(differing_condition(plain, cooler_limit)->key == "limit.temperature_c");
}
