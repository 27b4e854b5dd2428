#include "cases/choose/fin_array.hpp"
#include "cases/choose/spacing.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A cooler like that of Cengel and Ghajar's Example 9-3, wider so that one fin more or less
/// changes the gap by some per cent only, whose gaps are channels: fins 180 mm high along the
/// board, closed in front by an insulating wall, open below and above. Fins so thin and of so good
/// a conductor that they have one temperature and take no room, as in the formulas.
const std::string channels = R"(title = "channels"
[room]
temperature_c = 30
[limit]
temperature_c = 90
[conditions]
powers_w = [75]
[case]
width_mm = 30
height_mm = 180
wall_film_w_per_m2k = 1e-6
[[case.panel]]
name = "open"
open = ["south", "north"]
[board]
thickness_mm = 1
height_mm = 180
behind_mm = 0
[block]
fins_run = "along"
chip_thickness_mm = 1
chip_length_mm = 180
base_thickness_mm = 4
base_length_mm = 180
fins = 35
fin_thickness_mm = 0.05
fin_height_mm = 24
depth_mm = 300
conductivity_w_per_mk = 1e5
[mesh]
cells_per_medium = 6
wall_cell_mm = 2
largest_cell_mm = 8
)";

/// Three fins of 2 mm across 14 mm.
const std::string small_block = small_box + R"([block]
chip_thickness_mm = 2
chip_length_mm = 8
base_thickness_mm = 2
base_length_mm = 14
fins = 3
fin_thickness_mm = 2
fin_height_mm = 8
depth_mm = 20
)";

SpacingOptions options_in(const std::filesystem::path& directory) {
  SpacingOptions options;
  options.directory = directory;
  options.jobs = 1;
  return options;
}

std::optional<SpacingReport> spacing(const Case& the_case, const SpacingOptions& options,
                                     int* solved = nullptr) {
  return find_spacing(the_case, options, [solved](const std::string&) {
    if (solved != nullptr) {
      ++*solved;
    }
  });
}

/// The number of fins at which the published correlation of a vertical channel needs the smallest
/// rise: Bar-Cohen and Rohsenow, J. Heat Transfer 106 (1984) 116-123, isothermal walls,
/// Nu = (576 / El^2 + 2.873 / El^(1/2))^(-1/2).
int best_count_of_correlation(const FinArray& array, double power, double room) {
  int best = 0;
  double lowest_rise = 1e9;
  const CountRange range = counts_for_gaps(array, 0.004, 0.015); // far from the optimum rises run
  for (int count = range.fewest; count <= range.most; ++count) { // out of the tables of air
    const FinArray fins = with_count(array, count);
    double rise = 50.0;
    for (int k = 0; k < 100; ++k) { // the rise that gives off the power
      const AirProperties air = air_at(room + 0.5 * rise, room);
      const double elenbaas = 9.80665 * air.expansion * rise * std::pow(fins.gap, 4) /
                              (air.kinematic_viscosity() * air.diffusivity() * fins.length);
      const double nusselt =
          std::pow(576.0 / (elenbaas * elenbaas) + 2.873 / std::sqrt(elenbaas), -0.5);
      const double area = 2.0 * (count - 1) * fins.height * fins.length;
      rise = 0.5 * (rise + power * fins.gap / (nusselt * air.conductivity * area));
    }
    if (rise < lowest_rise) {
      lowest_rise = rise;
      best = count;
    }
  }
  return best;
}

} // namespace

TEST_CASE("Spacing: the search ends at the lowest rise with both neighbours solved", "[spacing]") {
  // The gap itself is compared with a published one in validation/fin_spacing.
  const Scratch scratch("channels");
  const Case the_case = case_of(channels);
  SpacingOptions options = options_in(scratch / "out");
  options.first_layouts = 4;
  options.min_thickness_mm = 0.05;
  const std::optional<SpacingReport> report = spacing(the_case, options);
  REQUIRE(report.has_value());
  REQUIRE(report->best.size() == 2); // upright, and weighted
  const SpacingBest& best = report->best[0];
  const FinArray array = fin_array(the_case);
  const int count = best_count_of_correlation(array, 75.0, the_case.room_temperature);
  const double published = 1000.0 * with_count(array, count).gap;
  CAPTURE(best.layout.gap_mm, best.layout.count, count, published, best.closed_form_mm,
          best.rise_k.value);
  // Both are of one source, at rises a few kelvin apart: within a fin, 3 %.
  CHECK(std::abs(best.closed_form_mm / published - 1.0) < 0.03);
  CHECK(best.layout.gap_mm > published); // by 8 to 11 %, for reasons given there
  CHECK(best.edge.empty());
  CHECK(report->best[1].layout.count == best.layout.count);
  // The lowest of all that was solved, with both neighbours solved.
  std::vector<int> counts;
  for (const SpacingPoint& point : report->points) {
    CHECK(point.ranked.rise_k.value >= best.rise_k.value);
    counts.push_back(point.layout.count);
  }
  for (const int neighbour : {best.layout.count - 1, best.layout.count + 1}) {
    CHECK(std::ranges::count(counts, neighbour) == 1);
  }
}

TEST_CASE("Spacing: plates and a power of its own; what is finished is not solved again",
          "[spacing]") {
  const Scratch scratch("plates");
  const Case the_case = case_of(small_stack);
  SpacingOptions options = options_in(scratch / "out");
  options.power_w = 0.3; // not among the case's
  options.min_gap_mm = 1.2;
  options.max_gap_mm = 4.0;
  options.weights = {"flat-up=1"};
  int solved = 0;
  const std::optional<SpacingReport> report = spacing(the_case, options, &solved);
  REQUIRE(report.has_value());
  CHECK(report->is_plates);
  CHECK(report->drawn.count == 3);
  // 2 to 4 plates: gaps of 3.5, 2 and 1.25 mm. All are first layouts.
  CHECK(report->points.size() == 6);
  REQUIRE(report->best.size() == 3);
  for (const SpacingBest& best : report->best) {
    CHECK_THAT(best.layout.count * (best.layout.gap_mm + best.layout.thickness_mm),
               WithinAbs(9.0, 1e-6));
    CHECK(std::isnan(best.closed_form_mm) == (best.orientation != "upright"));
    CHECK(best.low_gap_mm <= best.layout.gap_mm);
    CHECK(best.high_gap_mm >= best.layout.gap_mm);
    CHECK(best.rise_k.value <= best.drawn_rise_k.value);
  }
  // Only flat-up counts together.
  CHECK(report->best[2].layout.count == report->best[1].layout.count);
  CHECK(report->best[2].rise_k.value == report->best[1].rise_k.value);
  CHECK(report->best[2].limits.size() == 2);
  CHECK(report->best[0].limits[0].trend.n_points == 3); // 0.2, 0.3 and 0.4 W
  for (const char* file : {"spacing.csv", "spacing.json", "spacing.svg",
                           "gaps_closed_upright_0.3w.svg", "gaps_closed_flat-up_0.3w.svg"}) {
    CAPTURE(file);
    CHECK(std::filesystem::exists(scratch / "out" / file));
  }
  CHECK(solved >= 6 + 4);
  // Each layout holds what a solve of it would, with tables of what was solved there.
  int n_directories = 0;
  for (const char* folder : {"layouts", "examined"}) {
    for (const auto& layout : std::filesystem::directory_iterator(scratch / "out" / folder)) {
      CAPTURE(layout.path().string());
      ++n_directories;
      for (const char* file : {"summary.csv", "summary.json", "trend.csv"}) {
        CAPTURE(file);
        CHECK(std::filesystem::file_size(layout.path() / file) > 0);
      }
      std::size_t n_conditions = 0;
      for (const auto& file : std::filesystem::directory_iterator(layout.path() / "conditions")) {
        n_conditions += file.path().extension() == ".json" ? 1 : 0;
      }
      const std::string rows = text_of(layout.path() / "summary.csv");
      CHECK(static_cast<std::size_t>(std::ranges::count(rows, '\n')) == n_conditions + 1);
    }
  }
  CHECK(n_directories >= 3 + 2);
  CHECK_THAT(text_of(scratch / "out/gaps_closed_upright_0.3w.svg"),
             ContainsSubstring("best: gap") && ContainsSubstring("tighter: gap") &&
                 !ContainsSubstring("colours of its own"));
  CHECK_FALSE(report->skips_stability);
  CHECK(report->best[0].limits[0].limit.skips_stability);
  // Ranked by flows whose stability was skipped; the best and the drawn one are examined.
  for (const SpacingPoint& point : report->points) {
    CHECK(point.ranked.stability == Stability::skipped);
    const bool is_best = std::ranges::any_of(report->best, [&](const SpacingBest& best) {
      return best.layout.name == point.layout.name &&
             (best.orientation.empty() ? "flat-up" : best.orientation) == point.orientation;
    });
    CHECK(point.examined.has_value() == (is_best || point.layout.count == 3));
    if (point.examined) {
      CHECK(point.examined->stability == Stability::stable);
      CHECK_THAT(point.examined->rise_k.value, WithinRel(point.ranked.rise_k.value, 1e-3));
    }
  }

  // The same again: nothing is solved, the same bytes are written.
  const std::string csv = text_of(scratch / "out/spacing.csv");
  const std::string json = text_of(scratch / "out/spacing.json");
  solved = 0;
  REQUIRE(spacing(the_case, options, &solved).has_value());
  CHECK(solved == 0);
  CHECK(text_of(scratch / "out/spacing.csv") == csv);
  CHECK(text_of(scratch / "out/spacing.json") == json);
  // What a layout stores is solved again, by name, where a digit is another one, and where it was
  // copied from another layout.
  std::vector<std::filesystem::path> layouts;
  for (const auto& entry : std::filesystem::directory_iterator(scratch / "out/layouts")) {
    layouts.push_back(entry.path());
  }
  std::ranges::sort(layouts);
  const std::string stored = "conditions/closed_upright_0.3w.json";
  std::string digit = text_of(layouts[0] / stored);
  digit[digit.find('.', digit.find("base_rise_mean_k")) + 1] ^= 1;
  put(layouts[0] / stored, digit);
  put(layouts[1] / stored, text_of(layouts[2] / stored));
  std::string told;
  REQUIRE(find_spacing(the_case, options, [&](const std::string& line) {
            told += line + "\n";
          }).has_value());
  CHECK_THAT(told, ContainsSubstring((layouts[0] / stored).string() + ": found contents that") &&
                       ContainsSubstring((layouts[1] / stored).string() +
                                         ": found what was written for another case"));
  CHECK(text_of(scratch / "out/spacing.csv") == csv);
  // Without the examination: the same ranking, and it is said.
  options.skip_stability = true;
  const std::optional<SpacingReport> quick = spacing(the_case, options, &solved);
  REQUIRE(quick.has_value());
  CHECK(quick->skips_stability);
  for (std::size_t k = 0; k < report->best.size(); ++k) {
    CHECK(quick->best[k].layout.name == report->best[k].layout.name);
    CHECK(quick->best[k].rise_k.value == report->best[k].rise_k.value);
  }
  CHECK(std::ranges::all_of(quick->points,
                            [](const SpacingPoint& point) { return !point.examined; }));
  // Another cooler must not be mixed in.
  CHECK_THROWS_AS(
      spacing(case_of(edited(small_stack, "plate_length_mm = 20", "plate_length_mm = 18")),
              options),
      InputError);
}

TEST_CASE("Spacing: fins across the section, two thicknesses and heights", "[spacing]") {
  const Scratch scratch("across");
  const Case the_case = case_of(edited(small_block, ", \"flat-up\"", ""));
  SpacingOptions options = options_in(scratch / "out");
  options.thicknesses_mm = {1.0, 2.0};
  options.heights_mm = {5.0, 8.0};
  options.min_gap_mm = 3.0;
  options.first_layouts = 2;
  const std::optional<SpacingReport> report = spacing(the_case, options);
  REQUIRE(report.has_value());
  CHECK(report->best[0].layout.height_mm == 8.0); // more surface
  CHECK(std::isnan(report->best[0].closed_form_mm));
  CHECK_THAT(report->best[0].no_closed_form, ContainsSubstring("closes on one side"));
  CHECK_THAT(report->notes.front(), ContainsSubstring("no air runs along the gaps"));
  CHECK(std::filesystem::exists(scratch / "out/spacing_thickness-1_height-5.svg"));
  CHECK(std::filesystem::exists(scratch / "out/spacing_thickness-2_height-8.svg"));
}

TEST_CASE("Spacing: a caller that asks to stop gets nothing, and what is finished stays",
          "[spacing]") {
  const Scratch scratch("stopped-spacing");
  const Case the_case = case_of(small_stack);
  std::atomic<bool> stop = false;
  SpacingOptions options = options_in(scratch / "out");
  options.stop = &stop;
  int solved = 0;
  const auto stop_after_two = [&](const std::string&) { stop = ++solved == 2; };
  CHECK_FALSE(find_spacing(the_case, options, stop_after_two).has_value());
  CHECK(solved == 2);
  CHECK_FALSE(std::filesystem::exists(scratch / "out/spacing.csv"));
}

TEST_CASE("Spacing: what cannot be searched is refused before anything is written", "[spacing]") {
  const Scratch scratch("refused");
  const auto refused = [&](const std::string& text, const auto& change) {
    SpacingOptions options = options_in(scratch / "out");
    change(options);
    try {
      const auto unused = find_spacing(case_of(text), options, {});
      return std::string();
    } catch (const InputError& error) {
      return std::string(error.what());
    }
  };
  const auto nothing = [](SpacingOptions&) {};
  CHECK_THAT(refused(drawn_text, nothing), ContainsSubstring("[block] or [stack]"));
  CHECK_THAT(refused(stack_text, [](auto& o) { o.heights_mm = {20.0}; }),
             ContainsSubstring("--height-mm") && ContainsSubstring("only with [block]"));
  CHECK_THAT(refused(stack_text, [](auto& o) { o.thicknesses_mm = {0.5}; }),
             ContainsSubstring("--thickness-mm: found 0.5") && ContainsSubstring("0.8 mm"));
  CHECK_THAT(refused(stack_text + "[spacing]\nmin_thickness_mm = 1.2\n", nothing),
             ContainsSubstring("t.toml: thickness of the fins, mm: found 1") &&
                 ContainsSubstring("1.2 mm"));
  CHECK_THAT(refused(stack_text + "[spacing]\nmin_gap_mm = 30\n", nothing),
             ContainsSubstring("no whole number of plates of 1 mm in 18 mm"));
  CHECK_THAT(refused(stack_text + "[spacing]\nmin_gap = 3\n", nothing),
             ContainsSubstring("spacing.min_gap"));
  CHECK_THAT(refused(stack_text, [](auto& o) { o.max_gap_mm = 1.0; }),
             ContainsSubstring("--max-gap-mm: found 1"));
  CHECK_THAT(refused(block_text,
                     [](auto& o) {
                       o.heights_mm = {25.0, 70.0};
                     }),
             ContainsSubstring("t.toml:9") && ContainsSubstring("inside the case"));
  CHECK_THAT(refused(stack_text, [](auto& o) { o.weights = {"sideways=1"}; }),
             ContainsSubstring("--weights: found 'sideways=1'"));
  CHECK_THAT(refused(edited(stack_text, "[30, 10]", "[0]"), nothing),
             ContainsSubstring("no power above 0"));
  CHECK_FALSE(std::filesystem::exists(scratch / "out"));
}
