#include "cases/choose/ends.hpp"
#include "cases/run/run.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <filesystem>

using namespace tiltfin;
using namespace tiltfin::tests;
using tiltfin::tests::ContainsSubstring;

namespace {

/// Three plates in a closed box of a few centimetres, solved in well under a second.
const std::string stack_on_a_board = R"(title = "small stack"
[limit]
temperature_c = 50
[conditions]
powers_w = [0.2, 0.5]
orientations = ["upright", "flat-up"]
added_powers = "none"
[case]
width_mm = 30
height_mm = 36
finish = "painted"
[board]
thickness_mm = 2
height_mm = 30
behind_mm = 3
[stack]
chip_thickness_mm = 2
chip_length_mm = 8
base_thickness_mm = 2
base_length_mm = 10
plates = 3
plate_thickness_mm = 1
plate_gap_mm = 4
plate_length_mm = 20
depth_mm = 30
conductance_w_per_k = 2
column_positions_mm = [10]
column_width_mm = 4
finish = "bare-aluminium"
[mesh]
cells_per_gap = 2
cells_per_sheet = 1
growth = 2
wall_cell_mm = 1
)";

EndsOptions ends_in(const std::filesystem::path& directory) {
  EndsOptions options;
  options.directory = directory;
  options.jobs = 1;
  options.skip_stability = true;
  return options;
}

std::optional<EndsReport> ends_of(const EndsOptions& options, int* solved = nullptr) {
  return find_ends(parse_case(stack_on_a_board, "small.toml"), options, [&](const std::string&) {
    if (solved != nullptr) {
      ++*solved;
    }
  });
}

} // namespace

TEST_CASE("Ends: the bracket holds the case as solved, its parts stand in order", "[ends][slow]") {
  const Scratch scratch("ends-bracket");
  int solved = 0;
  const std::optional<EndsReport> report = ends_of(ends_in(scratch / "out"), &solved);
  REQUIRE(report.has_value());
  CHECK(solved >= 4); // two planes, two powers, lying flat alone
  REQUIRE(report->rows.size() == 1);
  const EndsRow& row = report->rows.front();
  CHECK(row.orientation == "flat-up");
  CHECK(row.status == SolveStatus::converged);
  // The limits of one plane are found in the same way but on powers, not heats: to a per cent.
  CHECK(row.lower.power_w.value >= 0.99 * row.first.power_w.value);
  CHECK(row.lower.power_w.value < row.likely_low.power_w.value);
  CHECK(row.likely_low.power_w.value < row.likely_high.power_w.value);
  CHECK(row.likely_high.power_w.value < row.upper.power_w.value);
  CHECK(row.upper.power_w.value < row.first.power_w.value + row.second.power_w.value);
  CHECK(row.upper.second_share > 0.0);
  CHECK(row.upper.second_share < 1.0);
  CHECK_THAT(ends_table(*report), ContainsSubstring("likely") && ContainsSubstring("flat-up"));
  for (const char* file : {"ends.csv", "ends.json", "second-plane.svg", "second-plane/case.toml",
                           "as-it-is/summary.csv"}) {
    CHECK(std::filesystem::exists(scratch / "out" / file));
  }

  // A second run solves nothing and writes the same bytes.
  const std::string csv = text_of(scratch / "out" / "ends.csv");
  solved = 0;
  REQUIRE(ends_of(ends_in(scratch / "out"), &solved).has_value());
  CHECK(solved == 0);
  CHECK(text_of(scratch / "out" / "ends.csv") == csv);

  // The case as it is may come from a solve.
  EndsOptions from = ends_in(scratch / "other");
  from.from = (scratch / "out" / "as-it-is").string();
  const std::optional<EndsReport> again = ends_of(from);
  REQUIRE(again.has_value());
  CHECK(ends_csv(*again) == csv);
  CHECK_FALSE(std::filesystem::exists(scratch / "other" / "as-it-is"));
}

TEST_CASE("Ends: what cannot be answered is refused before anything is solved", "[ends]") {
  const Scratch scratch("ends-refused");
  EndsOptions options = ends_in(scratch / "out");
  options.only = {"upright"};
  CHECK_THROWS_AS(ends_of(options), InputError);
  CHECK_FALSE(std::filesystem::exists(scratch / "out"));
  options.only.clear();
  options.from = (scratch / "nothing").string();
  CHECK_THROWS_AS(ends_of(options), InputError);
  CHECK_FALSE(std::filesystem::exists(scratch / "out"));
}
