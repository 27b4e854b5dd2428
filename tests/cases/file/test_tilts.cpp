#include "cases/file/case.hpp"
#include "cases/file/tilts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

Case case_with(const std::string& line) {
  std::string text = tiny_case_text("[0.1]", R"(["upright"])");
  return parse_case(text.insert(text.find("[section]"), line + "\n"), "t.toml");
}

} // namespace

TEST_CASE("Tilts: a range counts from its first angle, a list is sorted", "[tilts]") {
  const Tilts range = tilts_in("-30:20:40", "here");
  CHECK(range.angles_deg == std::vector<double>{-30.0, -10.0, 10.0, 30.0});
  CHECK_FALSE(range.is_closed);
  const Tilts list = tilts_in("75, 0 ,22.5", "here");
  CHECK(list.angles_deg == std::vector<double>{0.0, 22.5, 75.0});
  CHECK(list.place == "here");
  // A step that binary numbers do not hold exactly keeps its last angle.
  CHECK(tilts_in("0:0.1:0.3", "here").angles_deg.size() == 4);
}

TEST_CASE("Tilts: the end of a whole turn is its beginning", "[tilts]") {
  const Tilts turn = tilts_in("0:90:360", "here");
  CHECK(turn.is_closed);
  CHECK(turn.angles_deg == std::vector<double>{0.0, 90.0, 180.0, 270.0});
  CHECK(tilts_in("-180:60:180", "here").is_closed);
  CHECK_FALSE(tilts_in("0:15:345", "here").is_closed);
}

TEST_CASE("Tilts: what is no range of angles is refused with what is allowed", "[tilts]") {
  for (const char* text :
       {"",           "x",         "nan:15:360",  "0:nan:360", "0:15:inf",   "0:15",
        "0:15:360:2", "0:0:360",   "0:-15:360",   "360:15:0",  "0:15:1e300", "0:0.1:360",
        "0:15:400",   "-400:15:0", "-200:20:200", "0:360:360", "30",         "0,30,30",
        "0,,30",      "0 30",      "0:15:360x",   "upright,30"}) {
    CAPTURE(text);
    CHECK_THROWS_WITH(tilts_in(text, "--tilts"),
                      ContainsSubstring("--tilts: found ") &&
                          ContainsSubstring(", allowed FROM:STEP:TO in degrees"));
  }
  CHECK_THROWS_WITH(tilts_in("0:0:360", "here"), ContainsSubstring("a step of 0"));
  CHECK_THROWS_WITH(tilts_in("0:0.1:360", "here"), ContainsSubstring("3601 angles"));
}

TEST_CASE("Tilts: gravity out of the section is refused with what to describe instead", "[tilts]") {
  const auto refusal_of = [](const auto& read) {
    try {
      read();
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  const std::string option = refusal_of([] { return tilts_in("0,quarter-left", "--tilts"); });
  const std::string key = refusal_of([] { return case_with(R"(tilts = [0, "quarter-left"])"); });
  CHECK_THAT(option, ContainsSubstring("--tilts: found quarter-left"));
  CHECK_THAT(key, ContainsSubstring("t.toml:5: key 'conditions.tilts': found quarter-left"));
  for (const std::string& refusal : {option, key}) {
    CHECK_THAT(refusal, ContainsSubstring("gravity has a part along z"));
    CHECK_THAT(refusal, ContainsSubstring("describe the cooler with length and depth exchanged"));
  }
}

TEST_CASE("Tilts: the key takes a text or a list, refusals name its line", "[tilts]") {
  CHECK(case_with("").tilts.angles_deg.empty());
  CHECK(case_with(R"(tilts = "0:15:360")").tilts.angles_deg.size() == 24);
  CHECK(case_with("tilts = [0, 20, 45]").tilts.angles_deg == std::vector<double>{0.0, 20.0, 45.0});
  for (const char* line : {"tilts = 15", "tilts = []", "tilts = [0, true]", "tilts = [0, 400]",
                           R"(tilts = "0:15")", "tilts = [[0, 15]]"}) {
    CAPTURE(line);
    CHECK_THROWS_WITH(case_with(line),
                      ContainsSubstring("t.toml:5: key 'conditions.tilts': found ") &&
                          ContainsSubstring("allowed FROM:STEP:TO"));
  }
}

TEST_CASE("Tilts: a surface that does not turn with the machine is refused", "[tilts]") {
  const auto root_with = [](const std::string& surface) {
    return parse_toml("[room]\nmargin_mm = 50\n[[room.surface]]\ndistance_mm = 5\n" + surface,
                      "t.toml");
  };
  const Tilts tilts = tilts_in("0:15:360", "--tilts");
  CHECK_NOTHROW(check_surfaces_turn(root_with("at = \"south\"\n"), tilts));
  CHECK_THROWS_WITH(check_surfaces_turn(root_with("at = \"below\"\n"), tilts),
                    ContainsSubstring("--tilts: found a [[room.surface]] (line 3) that is below"));
  CHECK_THROWS_AS(
      check_surfaces_turn(root_with("at = \"west\"\norientations = [\"upright\"]\n"), tilts),
      InputError);
  CHECK_NOTHROW(check_surfaces_turn(root_with("at = \"below\"\n"), {}));
}
