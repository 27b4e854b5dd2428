// In which keys two cases differ: values are compared, not how they are shown.
#include "cases/file/case_difference.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <string>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// The case with a surface of the room under it.
std::string on_desk(const std::string& keys) {
  return edited(edited(stack_text, "30]\n[case]", "\"flat-up\"]\n[case]"), "margin_mm = 50\n",
                "margin_mm = 50\n[[room.surface]]\nat = \"below\"\n" + keys);
}

std::string with_part(const std::string& keys) {
  return edited(stack_text, "[board]",
                "[[part]]\nname = \"disk\"\nx_mm = [40, 55]\nconductivity_w_per_mk = 5\n" + keys +
                    "[board]");
}

/// "key: first, second" of every difference in a table.
std::vector<std::string> differences(const std::string& a, const std::string& b,
                                     const std::string& table) {
  std::vector<std::string> texts;
  for (const KeyDifference& difference :
       differing_keys(parse_case(a, "a.toml"), parse_case(b, "b.toml"), table)) {
    texts.push_back(difference.key + ": " + difference.first + ", " + difference.second);
  }
  return texts;
}

std::optional<KeyDifference> condition(const std::string& a, const std::string& b) {
  return differing_condition(parse_case(a, "a.toml"), parse_case(b, "b.toml"));
}

using Texts = std::vector<std::string>;

} // namespace

TEST_CASE("Case difference: surfaces of the room are compared by their values",
          "[case_difference]") {
  const std::string near = on_desk("distance_mm = 5\n");
  const std::string far = on_desk("distance_mm = 40\n");
  const std::optional<KeyDifference> found = condition(near, far);
  REQUIRE(found.has_value());
  CHECK(found->key == "room.surface[1].distance_mm");
  CHECK(found->first == "5");
  CHECK(found->second == "40");
  CHECK_FALSE(condition(near, near).has_value());
  CHECK_FALSE(condition(near, on_desk("distance_mm = 5.0\nkind = \"insulated\"\n")).has_value());
  const std::string both = "distance_mm = 5\norientations = [\"flat-up\", \"upright\"]\n";
  CHECK_FALSE(condition(near, on_desk(both)).has_value()); // all is the default
  const std::optional<KeyDifference> once =
      condition(on_desk("distance_mm = 5\norientations = [\"upright\"]\n"), near);
  REQUIRE(once.has_value());
  CHECK(once->key == "room.surface[1].orientations");
  const std::optional<KeyDifference> painted =
      condition(near, on_desk("distance_mm = 5\nfinish = \"painted\"\n"));
  REQUIRE(painted.has_value());
  CHECK(painted->key == "room.surface[1].finish");
  const std::string without = edited(stack_text, "30]\n[case]", "\"flat-up\"]\n[case]");
  const std::optional<KeyDifference> none = condition(without, near);
  REQUIRE(none.has_value());
  CHECK(none->key == "room.surface[1]");
  CHECK(none->first == "not given");
  CHECK(none->second ==
        "{at = \"below\", distance_mm = 5, orientations = [\"upright\", \"flat-up\"]}");
}

TEST_CASE("Case difference: parts are compared one by one", "[case_difference]") {
  const std::string a = with_part("y_mm = [90, 110]\npower_w = 3\n");
  CHECK(differences(a, a, "part").empty());
  CHECK(differences(a, with_part("y_mm = [95, 110]\n"), "part") ==
        Texts{"part[1].power_w: 3, 0", "part[1].y_mm: [90, 110], [95, 110]"});
  CHECK(differences(stack_text, with_part("y_mm = [90, 110]\n"), "part") ==
        Texts{"part[1]: not given, {conductivity_w_per_mk = 5, name = \"disk\", "
              "x_mm = [40, 55], y_mm = [90, 110]}"});
}

TEST_CASE("Case difference: walls of a panel state are a set, defaults hold everywhere",
          "[case_difference]") {
  const auto open = [](const std::string& walls) {
    return edited(stack_text, "open = [\"east\"]", "open = " + walls);
  };
  CHECK(differences(open("[\"east\", \"north\"]"), open("[\"north\", \"east\"]"), "case").empty());
  CHECK(differences(open("[\"east\"]"), open("[\"north\"]"), "case") ==
        Texts{"case.panel[2].open: [\"east\"], [\"north\"]"});
  CHECK(differences(stack_text,
                    edited(stack_text, "height_mm = 120", "height_mm = 120\nwall_thickness_mm = 1"),
                    "case")
            .empty());
  CHECK(differences(stack_text, stack_text + "[mesh]\ngrowth = 1.2\ncells_per_gap = 9\n", "mesh") ==
        Texts{"mesh.cells_per_gap: 8, 9"});
  // A drawn section has no margin, as a cooler without one.
  CHECK_FALSE(condition(drawn_text, drawn_text + "[limit]\nspreading_k_per_w = 0.3\n").has_value());
}
