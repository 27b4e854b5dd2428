#include "cases/choose/lever_changes.hpp"
#include "cases/file/case_difference.hpp"
#include "cases/file/case_keys.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <map>
#include <set>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A stack that every lever can be moved of: three plates of 1 mm with gaps of 5 mm, 18 mm in all.
const std::string movable_stack =
    edited(edited(edited(stack_text, "open = []", "grille = [\"south\"]\nfree_area_ratio = 0.5"),
                  "plates = 3", "finish = \"bare-aluminium\"\nplates = 3"),
           "height_mm = 120", "height_mm = 120\nfinish = \"galvanised\"") +
    R"([[room.surface]]
at = "below"
distance_mm = 5
orientations = ["upright"]
)";

/// Every panel state in every orientation.
std::vector<Placing> all_placings(const Case& the_case) {
  std::vector<Placing> placings;
  for (const PanelState& panel : the_case.panels) {
    for (const Orientation& orientation : the_case.orientations) {
      placings.push_back({panel.name, orientation.name});
    }
  }
  return placings;
}

LeverChanges changes_of(const std::string& text) {
  const Case the_case = case_of(text);
  return lever_changes(the_case, all_placings(the_case));
}

/// Keys whose values differ, as "key: before -> after".
std::set<std::string> differences(const Case& before, const Case& after) {
  std::set<std::string> found;
  for (const Key& table : case_keys()) {
    if (table.table == nullptr) {
      continue;
    }
    for (const KeyDifference& difference : differing_keys(before, after, table.name)) {
      found.insert(difference.key + ": " + difference.first + " -> " + difference.second);
    }
  }
  return found;
}

/// By the changes' names.
std::map<std::string, std::set<std::string>> all_differences(const std::string& text) {
  const Case the_case = case_of(text);
  std::map<std::string, std::set<std::string>> all;
  for (const LeverChange& change : changes_of(text).changes) {
    all[change.name] = differences(the_case, change.the_case);
  }
  return all;
}

/// The reason why a lever is absent; empty when it is not.
std::string reason(const LeverChanges& changes, LeverKind lever) {
  const auto found = std::ranges::find(changes.absent, lever, &AbsentLever::lever);
  return found == changes.absent.end() ? "" : found->reason;
}

const LeverChange& change_called(const LeverChanges& changes, const std::string& name) {
  return *std::ranges::find(changes.changes, name, &LeverChange::name);
}

} // namespace

TEST_CASE("Lever changes: each alters the one thing that it says", "[levers]") {
  using Keys = std::set<std::string>;
  const std::map<std::string, Keys> expected{
      {"finish_black-anodised", {"stack.finish: \"bare-aluminium\" -> \"black-anodised\""}},
      {"walls_painted", {"case.finish: \"galvanised\" -> \"painted\""}},
      // By hand: 18 mm hold two plates with gaps of 8 mm, four with 3.5 mm.
      {"gap_plates-2_thickness-1", {"stack.plates: 3 -> 2", "stack.plate_gap_mm: 5 -> 8"}},
      {"gap_plates-4_thickness-1", {"stack.plates: 3 -> 4", "stack.plate_gap_mm: 5 -> 3.5"}},
      // 6 mm more, half of them below the columns, which stay.
      {"size_66",
       {"stack.plate_length_mm: 60 -> 66", "stack.column_positions_mm: [20, 40] -> [23.0, 43.0]"}},
      {"grille_on", {"case.panel[1].free_area_ratio: 0.5 -> 0.625"}},
      {"feet_1", {"room.surface[1].distance_mm: 5 -> 15"}}};
  CHECK(all_differences(movable_stack) == expected);
}

TEST_CASE("Lever changes: columns of longer plates stay where they are", "[levers]") {
  const Case before = case_of(movable_stack);
  const LeverChanges changes = changes_of(movable_stack);
  const Section& old = before.panels[1].sections.front();
  const Section& now = change_called(changes, "size_66").the_case.panels[1].sections.front();
  REQUIRE(old.links.size() == now.links.size());
  for (std::size_t k = 0; k < old.links.size(); ++k) {
    CHECK_THAT(now.links[k].patch_b.y0, WithinAbs(old.links[k].patch_b.y0, 1e-9));
    CHECK_THAT(now.links[k].patch_b.y1, WithinAbs(old.links[k].patch_b.y1, 1e-9));
  }
}

TEST_CASE("Lever changes: they hold where the case has what they change", "[levers]") {
  const LeverChanges changes = changes_of(movable_stack);
  const std::vector<Placing> on{{"on", "upright"}, {"on", "tilt-30"}};
  const std::vector<Placing> upright{{"on", "upright"}, {"off", "upright"}};
  CHECK(change_called(changes, "grille_on").placings == on);
  CHECK(change_called(changes, "feet_1").placings == upright);
  CHECK(change_called(changes, "finish_black-anodised").placings.size() == 4);
  CHECK(change_called(changes, "finish_black-anodised").words ==
        "black-anodised (0.82) in place of bare-aluminium (0.2)");
  CHECK(change_called(changes, "gap_plates-4_thickness-1").words ==
        "4 plates 3.5 mm apart in place of 3 at 5 mm");
  // Where not, it says why.
  REQUIRE(changes.absent.size() == 2);
  CHECK(changes.absent[0].reason == "no grille is described");
  CHECK(changes.absent[0].placings == std::vector<Placing>{{"off", "upright"}, {"off", "tilt-30"}});
  CHECK_THAT(changes.absent[1].reason, ContainsSubstring("no surface below"));
  CHECK(changes.absent[1].placings == std::vector<Placing>{{"on", "tilt-30"}, {"off", "tilt-30"}});
}

TEST_CASE("Lever changes: a block's fins get higher, many fins change by two", "[levers]") {
  const std::map<std::string, std::set<std::string>> few = all_differences(block_text);
  CHECK(few.at("size_27.5") == std::set<std::string>{"block.fin_height_mm: 25 -> 27.5"});
  CHECK(few.at("finish_black-anodised") ==
        std::set<std::string>{"block.finish: not given -> \"black-anodised\""});
  CHECK(few.count("gap_fins-3_thickness-3_height-25") == 1);
  CHECK(few.count("gap_fins-5_thickness-3_height-25") == 1);
  // Twelve fins of 1 mm in 60 mm.
  const std::string many = edited(edited(edited(block_text, "fins = 4", "fins = 12"),
                                         "fin_thickness_mm = 3", "fin_thickness_mm = 1"),
                                  "base_length_mm = 30", "base_length_mm = 60");
  const std::map<std::string, std::set<std::string>> some = all_differences(many);
  CHECK(some.at("gap_fins-10_thickness-1_height-25") ==
        std::set<std::string>{"block.fins: 12 -> 10"});
  CHECK(some.count("gap_fins-14_thickness-1_height-25") == 1);
}

TEST_CASE("Lever changes: what a case cannot have is named with its reason", "[levers]") {
  const LeverChanges block = changes_of(block_text);
  CHECK(reason(block, LeverKind::grille) == "no grille is described");
  CHECK(reason(block, LeverKind::walls) == "no finish of the walls is described");
  CHECK_THAT(reason(block, LeverKind::feet), ContainsSubstring("[[room.surface]]"));
  // The case is 60 mm wide: 5 behind the board, 2 of board, 3 of chip, 4 of base, fins of 45.
  const std::string high = edited(block_text, "fin_height_mm = 25", "fin_height_mm = 45");
  CHECK_THAT(reason(changes_of(high), LeverKind::size),
             ContainsSubstring("fins 49.5 mm high in place of 45: does not fit, found") &&
                 ContainsSubstring("allowed"));
  const std::string tight = block_text + "[spacing]\nmin_gap_mm = 4\n";
  CHECK_THAT(reason(changes_of(tight), LeverKind::gap),
             ContainsSubstring("5 fins would leave gaps below 4 mm"));
  const std::string black = edited(block_text, "fins = 4", "fins = 4\nfinish = \"brown-anodised\"");
  CHECK_THAT(reason(changes_of(black), LeverKind::finish),
             ContainsSubstring("already: brown-anodised (0.86)"));
  const std::string painted =
      edited(block_text, "height_mm = 120", "height_mm = 120\nemissivity = 0.95");
  CHECK_THAT(reason(changes_of(painted), LeverKind::walls),
             ContainsSubstring("already: an emissivity of 0.95"));
  const std::string compared =
      edited(block_text, "fins = 4", "fins = 4\nfinish = [\"bare-aluminium\", \"black-anodised\"]");
  const auto is_finish = [](const auto& lever) { return lever.lever == LeverKind::finish; };
  CHECK(std::ranges::none_of(changes_of(compared).changes, is_finish));
  CHECK(std::ranges::none_of(changes_of(compared).absent, is_finish));

  const LeverChanges drawn = changes_of(drawn_text);
  CHECK(drawn.changes.empty());
  CHECK(drawn.absent.size() == 6);
  CHECK_THAT(reason(drawn, LeverKind::gap), ContainsSubstring("[section]"));
  const Case ring = read_case("cases/ring.toml");
  CHECK_THAT(reason(lever_changes(ring, all_placings(ring)), LeverKind::gap),
             ContainsSubstring("[ring] cannot be laid out anew"));
}

TEST_CASE("Lever changes: of a drawn section base, fins and grilles", "[levers]") {
  const std::string text = edited(drawn_text, "name = \"far\"", "name = \"far\"\nrole = \"fin\"") +
                           R"([[grille]]
name = "mesh"
from_mm = [80, 0]
to_mm = [80, 80]
free_area_ratio = 0.2
)";
  const std::map<std::string, std::set<std::string>> all = all_differences(text);
  REQUIRE(all.size() == 2);
  CHECK(all.at("finish_black-anodised") ==
        std::set<std::string>{"solid[3].finish: not given -> \"black-anodised\""});
  CHECK(all.at("grille") == std::set<std::string>{"grille[1].free_area_ratio: 0.2 -> 0.4"});
}
