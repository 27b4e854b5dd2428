#include "cases/choose/lever_result.hpp"
#include "cases/choose/levers.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <filesystem>
#include <functional>
#include <string_view>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A closed box of a few centimetres with a block of three bare fins in it, solved in well under a
/// second.
const std::string still_block = R"(title = "still block"
[conditions]
powers_w = [0.4]
orientations = ["upright", "flat-up"]
[case]
width_mm = 24
height_mm = 30
finish = "painted"
[board]
thickness_mm = 2
height_mm = 26
behind_mm = 3
[block]
chip_thickness_mm = 2
chip_length_mm = 8
base_thickness_mm = 2
base_length_mm = 14
fins = 3
fin_thickness_mm = 2
fin_height_mm = 8
depth_mm = 20
finish = "bare-aluminium"
[mesh]
cells_per_gap = 2
cells_per_sheet = 1
growth = 2
wall_cell_mm = 1
)";

/// Fins along an upright channel, with a tight grille below and above.
const std::string chimney = R"(title = "chimney"
[limit]
temperature_c = 90
[conditions]
powers_w = [30]
[case]
width_mm = 40
height_mm = 200
wall_film_w_per_m2k = 1e-6
[[case.panel]]
name = "grilles"
grille = ["south", "north"]
free_area_ratio = 0.3
[board]
thickness_mm = 1
height_mm = 180
behind_mm = 5
[block]
fins_run = "along"
chip_thickness_mm = 1
chip_length_mm = 100
base_thickness_mm = 4
base_length_mm = 100
fins = 20
fin_thickness_mm = 1
fin_height_mm = 24
depth_mm = 200
[mesh]
cells_per_gap = 3
cells_per_sheet = 1
cells_per_medium = 6
wall_cell_mm = 2
largest_cell_mm = 8
)";

LeverOptions levers_in(const std::filesystem::path& directory) {
  LeverOptions options;
  options.directory = directory;
  options.jobs = 1;
  return options;
}

/// `solved` counts the conditions that were not taken from disk.
std::optional<LeverReport> levers(const std::string& text, const LeverOptions& options,
                                  int* solved = nullptr) {
  return find_levers(case_of(text), options, [solved](const std::string&) {
    if (solved != nullptr) {
      ++*solved;
    }
  });
}

const LeverRow& row_of(const LeverReport& report, std::string_view orientation, LeverKind lever) {
  const auto row = std::ranges::find_if(report.rows, [&](const LeverRow& own) {
    return own.orientation == orientation && own.lever == lever;
  });
  REQUIRE(row != report.rows.end());
  return *row;
}

std::string files_of(const std::filesystem::path& directory) {
  return text_of(directory / "levers.csv") + text_of(directory / "levers.json") +
         text_of(directory / "levers.svg");
}

} // namespace

TEST_CASE("Levers: steady flows are compared with steady flows, and of a mean it is said",
          "[levers]") {
  const Case the_case = case_of(edited(still_block, "\"upright\", ", ""));
  Outcome steady;
  steady.panel = "closed";
  steady.orientation = "flat-up";
  steady.power_w = 0.4;
  steady.status = SolveStatus::converged;
  steady.base_rise_mean_k = {20.0, 0.5};
  Outcome mean = steady; // what a solve came to, with another power that has no steady row either
  mean.status = SolveStatus::time_average;
  mean.base_rise_mean_k = {22.0, 0.6};
  Outcome weaker = mean;
  weaker.power_w = 0.2;
  weaker.base_rise_mean_k = {12.0, 0.3};
  Outcome colder = steady;
  colder.base_rise_mean_k = {15.0, 0.5};
  const LeverChange change{LeverKind::finish, "black", "black", the_case, {{"closed", "flat-up"}}};
  const LeverReport report =
      lever_report(the_case, {0.4, 0.2}, change.placings,
                   {.known = {weaker, mean}, .solved = {steady}}, {{&change, {colder}}}, {});
  REQUIRE(report.places.size() == 1);
  CHECK(report.places[0].rise_k.value == 20.0);
  CHECK(row_of(report, "flat-up", LeverKind::finish).gain_k.value == 5.0);
  // The limit is that of the solve's own table: of the means.
  const std::vector<TrendRow> trends =
      make_trends(std::vector<Outcome>{weaker, mean}, report.context);
  CHECK(report.places[0].limit.power_w.value == trends.front().limit.power_w.value);
  CHECK_THAT(report.notes.front(), ContainsSubstring("a mean over time (rise 22.0 K)") &&
                                       ContainsSubstring("the steady flow (20.0 K)"));
}

TEST_CASE("Levers: in the still air of a closed case a black cooler is colder than a bare one",
          "[levers][slow]") {
  const Scratch scratch("levers-still");
  int solved = 0;
  const std::optional<LeverReport> report =
      levers(still_block, levers_in(scratch / "out"), &solved);
  REQUIRE(report.has_value());
  // Two orientations: two powers as it is, then finish, two gaps and the fins' height.
  CHECK(solved == 2 * (2 + 4));
  for (const char* orientation : {"upright", "flat-up"}) {
    const LeverRow& row = row_of(*report, orientation, LeverKind::finish);
    CHECK(row.verdict == LeverVerdict::helps);
    CHECK(row.gain_k.value > 0.0);
    CHECK(row.gain_w.value > 0.0);
    // It starts from the bare one on the same mesh; were its coarse mesh to radiate like that one,
    // its error would be as large as the gain.
    CHECK(row.gain_k.error < 0.5 * row.gain_k.value);
  }
  CHECK(row_of(*report, "upright", LeverKind::orientation).change == "flat-up in place of upright");
  CHECK(row_of(*report, "upright", LeverKind::walls).verdict == LeverVerdict::not_tried);

  // A second run solves nothing and writes the same bytes.
  const std::string files = files_of(scratch / "out");
  solved = 0;
  CHECK(levers(still_block, levers_in(scratch / "out"), &solved).has_value());
  CHECK(solved == 0);
  CHECK(files_of(scratch / "out") == files);
}

TEST_CASE("Levers: wider grilles never lower the flow of an upright chimney", "[levers][slow]") {
  const Scratch scratch("levers-chimney");
  const std::optional<LeverReport> report = levers(chimney, levers_in(scratch / "out"));
  REQUIRE(report.has_value());
  const LeverRow& row = row_of(*report, "upright", LeverKind::grille);
  CHECK(row.change == "free area 0.475 in place of 0.3");
  CHECK(row.gain_k.value > 0.0);
  const std::filesystem::path solved = scratch / "out" / "solved" / "30w";
  const auto outcome_in = [](const std::filesystem::path& directory) {
    return finished_outcome(directory, read_case((directory / "case.toml").string()),
                            "grilles_upright_30w");
  };
  const std::optional<Outcome> before = outcome_in(solved / "as-it-is");
  const std::optional<Outcome> after = outcome_in(solved / "grille_grilles");
  REQUIRE(before.has_value());
  REQUIRE(after.has_value());
  CHECK(after->crossing_flow_g_per_s.value >= before->crossing_flow_g_per_s.value);
  CHECK(after->crossing_flow_g_per_s.value > 0.0);
}

TEST_CASE("Levers: interrupted and on more threads, the same bytes", "[levers][slow]") {
  const Scratch scratch("levers-stop");
  const std::string one = edited(still_block, "\"upright\", ", "");
  REQUIRE(levers(one, levers_in(scratch / "whole")).has_value());
  std::atomic<bool> stop = false;
  LeverOptions options = levers_in(scratch / "parts");
  options.stop = &stop;
  int told = 0;
  const auto interrupt = [&](const std::string&) { stop = ++told == 3; };
  CHECK_FALSE(find_levers(case_of(one), options, interrupt).has_value());
  CHECK(told >= 3);
  CHECK_FALSE(std::filesystem::exists(scratch / "parts/levers.csv"));
  stop = false;
  options.jobs = 2;
  REQUIRE(levers(one, options).has_value());
  CHECK(files_of(scratch / "parts") == files_of(scratch / "whole"));
}

TEST_CASE("Levers: the case as it is comes from finished results, and its limits", "[levers]") {
  const Scratch scratch("levers-from");
  const std::string text = edited(still_block, "[0.4]", "[0.2, 0.4]");
  RunOptions run;
  run.directory = scratch / "results";
  run.jobs = 1;
  run.adds_powers = true;
  const CaseResults results = run_case(case_of(text), run, {});
  REQUIRE(std::ranges::any_of(results.outcomes, std::not_fn(is_listed)));
  LeverOptions options = levers_in(scratch / "out");
  options.from = (scratch / "results").string();
  options.only = {"flat-up"};
  int solved = 0;
  const std::optional<LeverReport> report = levers(text, options, &solved);
  REQUIRE(report.has_value());
  CHECK(solved == 4); // the changes
  REQUIRE(report->places.size() == 1);
  const auto trend = std::ranges::find(results.trends, "flat-up", &TrendRow::orientation);
  REQUIRE(trend != results.trends.end());
  CHECK(report->places[0].limit.power_w.value == trend->limit.power_w.value);
  CHECK(report->places[0].limit.power_w.error == trend->limit.power_w.error);
  // The other orientation is known from there.
  CHECK(row_of(*report, "flat-up", LeverKind::orientation).verdict != LeverVerdict::not_tried);
  CHECK_FALSE(std::filesystem::exists(scratch / "out/solved/0.4w/as-it-is"));

  options.from.clear();
  options.directory = scratch / "alone";
  const std::optional<LeverReport> alone = levers(text, options);
  REQUIRE(alone.has_value());
  CHECK(row_of(*alone, "flat-up", LeverKind::orientation).change ==
        "the others were not asked for");
}

TEST_CASE("Levers: results that lack conditions give what they have", "[levers][slow]") {
  // Of two orientations and two powers the results hold one of each, of a case with other lists.
  const Scratch scratch("levers-part");
  const std::string text = edited(still_block, "[0.4]", "[0.2, 0.4]");
  RunOptions run;
  run.directory = scratch / "results";
  run.jobs = 1;
  run.only = {"upright_0.4w"};
  run.adds_powers = true;
  (void)run_case(case_of(edited(text, "[0.2, 0.4]", "[0.1, 0.4, 0.8]")), run, {});
  LeverOptions options = levers_in(scratch / "out");
  options.only = {"flat-up"};
  const std::optional<LeverReport> alone = levers(text, options);
  options.from = (scratch / "results").string();
  options.directory = scratch / "part";
  const std::optional<LeverReport> part = levers(text, options);
  REQUIRE((alone && part));
  REQUIRE(part->places.size() == 1);
  // Steady states to the solver's tolerance, whatever they start from.
  CHECK_THAT(part->places[0].limit.power_w.value,
             WithinRel(alone->places[0].limit.power_w.value, 1e-4));
}

TEST_CASE("Levers: what cannot be moved or read is refused before anything is written",
          "[levers]") {
  const Scratch scratch("levers-wrong");
  LeverOptions options = levers_in(scratch / "out");
  options.from = (scratch / "gone").string();
  CHECK_THROWS_WITH(levers(still_block, options), ContainsSubstring("no case.toml"));
  std::filesystem::create_directories(scratch / "other");
  put(scratch / "other/case.toml", edited(still_block, "fins = 3", "fins = 2"));
  options.from = (scratch / "other").string();
  CHECK_THROWS_WITH(levers(still_block, options), ContainsSubstring("results of another case"));
  options.from.clear();
  options.only = {"sideways"};
  CHECK_THROWS_WITH(levers(still_block, options), ContainsSubstring("--only: found 'sideways'"));
  options.only.clear();
  CHECK_THROWS_WITH(levers(edited(still_block, "[0.4]", "[0]"), options),
                    ContainsSubstring("no power above 0"));
  CHECK_THROWS_WITH(levers(edited(still_block, "\"flat-up\"", "\"quarter-left\""), options),
                    ContainsSubstring("quarter-left"));
  CHECK_THROWS_WITH(find_levers(read_case("cases/square-cavity.toml"), options, {}),
                    ContainsSubstring("without a base"));
  CHECK_FALSE(std::filesystem::exists(scratch / "out"));
}
