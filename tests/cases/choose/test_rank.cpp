#include "cases/choose/rank.hpp"
#include "cases/choose/weights.hpp"
#include "cases/file/case_difference.hpp"
#include "cases/run/run.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Conditions in which the tiny block and a hotter variant of it are ranked.
const std::string tiny = tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])") +
                         "[limit]\ndie_to_base_k_per_w = 0.3\nspreading_k_per_w = 0.2\n";
const std::string lower =
    edited(edited(tiny, "y_mm = [8, 12]", "y_mm = [8, 11]"), "block in a box", "lower block");

std::string difference(const std::string& a, const std::string& b) {
  const std::optional<KeyDifference> found = differing_condition(case_of(a), case_of(b));
  return found ? found->key : "";
}

/// `solved` counts the conditions that were not taken from disk.
std::optional<RankReport> rank(const std::vector<std::string>& cases,
                               const std::filesystem::path& directory, int* solved = nullptr) {
  RankOptions options;
  options.cases = cases;
  options.directory = directory;
  options.jobs = 1;
  return rank_coolers(options, [solved](const std::string& told) {
    if (solved != nullptr) {
      *solved += told.ends_with("done") ? 1 : 0;
    }
  });
}

} // namespace

TEST_CASE("Metal: volumes are those of the described bodies", "[metal]") {
  // By hand, in mm3. Block across: base 4 x 30 x 80, four fins of 3 x 25 x 80.
  const Metal across = *metal_of(case_of(block_text).cooler);
  CHECK_THAT(across.volume, WithinRel((4.0 * 30 * 80 + 4 * 3.0 * 25 * 80) * 1e-9, 1e-12));
  CHECK(across.density == aluminium_density);
  CHECK(across.density_is_default);
  // Along: base 4 x 30 x 27 deep, the fins 30 long.
  const Metal along =
      *metal_of(case_of(edited(edited(block_text, "[block]", "[block]\nfins_run = \"along\""),
                               "depth_mm = 80", "fin_gap_mm = 5\ndensity_kg_per_m3 = 8900"))
                    .cooler);
  CHECK_THAT(along.volume, WithinRel((4.0 * 30 * 27 + 4 * 3.0 * 25 * 30) * 1e-9, 1e-12));
  CHECK_THAT(along.mass(), WithinRel(along.volume * 8900.0, 1e-12));
  CHECK_FALSE(along.density_is_default);
  // Stack: base 4 x 30 x 80, three plates of 1 x 60 x 80.
  const Metal stack = *metal_of(case_of(stack_text).cooler);
  CHECK_THAT(stack.volume, WithinRel((4.0 * 30 * 80 + 3 * 1.0 * 60 * 80) * 1e-9, 1e-12));
  CHECK(stack.leaves_out == "columns");
  CHECK_FALSE(metal_of(case_of(drawn_text).cooler).has_value());
  CHECK_THAT(refusal(edited(block_text, "depth_mm = 80", "depth_mm = 80\ndensity_kg_per_m3 = 0")),
             ContainsSubstring("block.density_kg_per_m3") && ContainsSubstring("from 1 to"));
}

TEST_CASE("Metal: a ring is round", "[metal]") {
  const Case ring = read_case("cases/ring.toml");
  const Metal metal = *metal_of(ring.cooler);
  // The section's half ring: fins as media, twice; core and base round instead of square.
  const Section& section = ring.panels[0].sections.front();
  double fins = 0.0;
  for (const FinMedium& medium : section.media) {
    fins += medium.extent.width() * medium.extent.height() * section.depth * medium.fin_thickness /
            (medium.fin_thickness + medium.gap);
  }
  const Rectangle base = section.solids[static_cast<std::size_t>(section.base)].extent;
  const double disc = 0.25 * 3.14159265358979 * base.height() * base.height() * base.width();
  CHECK_THAT(metal.volume, WithinRel(fins + disc, 1e-9));
}

TEST_CASE("Weights: shares add up to 1, wrong ones are refused", "[weights]") {
  const std::vector<Orientation> orientations{named_orientation("upright"),
                                              named_orientation("flat-up")};
  CHECK(orientation_weights({}, orientations) == std::vector<double>{0.5, 0.5});
  CHECK(orientation_weights({"upright=3", "flat-up=1"}, orientations) ==
        std::vector<double>{0.75, 0.25});
  CHECK(orientation_weights({"flat-up=2"}, orientations) == std::vector<double>{0.0, 1.0});
  for (const char* wrong : {"upright", "upright=", "upright=-1", "upright=1x", "sideways=1",
                            "upright=nan", "upright=inf"}) {
    CAPTURE(wrong);
    CHECK_THROWS_WITH(orientation_weights({wrong}, orientations),
                      ContainsSubstring(wrong) && ContainsSubstring("upright, flat-up"));
  }
  CHECK_THROWS_AS(orientation_weights({"upright=0"}, orientations), InputError);
  CHECK_THROWS_WITH(orientation_weights({"upright=1", "upright=2"}, orientations),
                    ContainsSubstring("'upright=2', a second weight of upright"));
}

TEST_CASE("Case difference: conditions must be equal, defaults and order do not count",
          "[case_difference]") {
  CHECK(difference(stack_text, stack_text).empty());
  CHECK(difference(stack_text, stack_text + "[limit]\ntemperature_c = 100\n").empty());
  CHECK(difference(stack_text, edited(stack_text, "[30, 10]", "[10, 30]")).empty());
  CHECK(difference(stack_text, edited(stack_text, "plates = 3", "plates = 2")).empty());
  CHECK(difference(stack_text, edited(stack_text, "temperature_c = 20", "temperature_c = 21")) ==
        "room.temperature_c");
  CHECK(difference(stack_text, edited(stack_text, "margin_mm = 50", "margin_mm = 60")) ==
        "room.margin_mm");
  CHECK(difference(stack_text, stack_text + "[limit]\ntemperature_c = 90\n") ==
        "limit.temperature_c");
  CHECK(difference(stack_text, stack_text + "[limit]\ndie_to_base_k_per_w = 1\n") ==
        "limit.die_to_base_k_per_w");
  CHECK(difference(stack_text, stack_text + "[air]\ngravity_m_per_s2 = 1.6\n") ==
        "air.gravity_m_per_s2");
  CHECK(difference(stack_text, edited(stack_text, "[30, 10]", "[30]")).empty());
  CHECK(difference(stack_text, edited(stack_text, "30]\n[case]", "45]\n[case]")) ==
        "conditions.orientations");
  CHECK(difference(stack_text, edited(stack_text, "\"off\"", "\"ajar\"")) == "conditions.panels");
}

TEST_CASE("Rank: case files are solved once, directories are read, the cooler that is colder wins",
          "[rank][slow]") {
  const Scratch scratch("rank");
  put(scratch / "a.toml", tiny);
  put(scratch / "b.toml", lower);
  const std::vector<std::string> files{(scratch / "a.toml").string(),
                                       (scratch / "b.toml").string()};
  int solved = 0;
  const std::optional<RankReport> report = rank(files, scratch / "out", &solved);
  REQUIRE(report.has_value());
  CHECK(solved > 8); // and what was added near the limits
  for (const RankedCooler& cooler : report->coolers) {
    for (const SolvedLimit& limit : cooler.limits) {
      CHECK_FALSE(limit.extrapolated);
      CHECK(limit.parts.high_w <= 1.2501 * limit.parts.low_w);
    }
  }
  CHECK_THAT(report->core.core_to_base_k_per_w, WithinRel(0.5, 1e-12)); // both, as in the limits
  CHECK_THAT(rank_table(*report), ContainsSubstring("0.5 K/W from core to base"));
  REQUIRE(report->columns.size() == 2);
  REQUIRE(report->coolers.size() == 2);
  // The lower block has less surface: it is hotter in every condition.
  CHECK(report->coolers[0].name == "a");
  for (std::size_t c = 0; c < 2; ++c) {
    CHECK(report->coolers[0].limits[c].power_w.value > report->coolers[1].limits[c].power_w.value);
  }
  CHECK(std::isnan(report->coolers[0].mass_kg));
  CHECK_THAT(text_of(scratch / "out/rank.csv"), ContainsSubstring("power_limit_error_w"));
  CHECK_THAT(text_of(scratch / "out/rank.json"), ContainsSubstring("recommendation"));
  CHECK_THAT(text_of(scratch / "out/rank.svg"), ContainsSubstring("</svg>"));
  // The limits are those of the solve's own tables: the same computation, so the same bits.
  RunOptions by_itself;
  by_itself.directory = scratch / "a";
  by_itself.adds_powers = true;
  const std::vector<TrendRow> trends = run_case(case_of(tiny), by_itself, {}).trends;
  REQUIRE(trends.size() == 2);
  for (std::size_t c = 0; c < 2; ++c) {
    const auto row =
        std::ranges::find(trends, report->columns[c].orientation, &TrendRow::orientation);
    REQUIRE(row != trends.end());
    CHECK(report->coolers[0].limits[c].power_w.value == row->limit.power_w.value);
    CHECK(report->coolers[0].limits[c].power_w.error == row->limit.power_w.error);
  }

  solved = 0;
  const std::optional<RankReport> again =
      rank({(scratch / "out/b").string(), (scratch / "a.toml").string()}, scratch / "out", &solved);
  REQUIRE(again.has_value());
  CHECK(solved == 0);
  CHECK(again->coolers[0].limits[1].power_w.value == report->coolers[0].limits[1].power_w.value);
  // Powers that were added to a directory's conditions count as those of a case file do.
  CHECK(again->coolers[1].limits[1].power_w.value == report->coolers[1].limits[1].power_w.value);
  CHECK_FALSE(again->coolers[1].limits[1].extrapolated);
}

TEST_CASE("Rank: coolers whose stability was skipped are named, beside examined ones too",
          "[rank][slow]") {
  const Scratch scratch("rank-skipped");
  put(scratch / "a.toml", tiny);
  put(scratch / "b.toml", edited(lower, "[0.1, 0.2]", "[0.15, 0.2]"));
  RankOptions options;
  options.cases = {(scratch / "a.toml").string(), (scratch / "b.toml").string()};
  options.directory = scratch / "out";
  options.jobs = 1;
  options.skip_stability = true;
  const std::optional<RankReport> quick = rank_coolers(options, {});
  REQUIRE(quick.has_value());
  CHECK_THAT(quick->notes.front(), ContainsSubstring("a (4 of 4 conditions), b (4 of 4") &&
                                       !ContainsSubstring("like with like"));
  CHECK_THAT(recommendation(*quick), ContainsSubstring("A quick look"));
  CHECK_THAT(quick->notes[1], ContainsSubstring("own powers: a 0.1 0.2 W, b 0.15 0.2 W"));
  // One directory as it is, the other cooler examined, and the mixture is said.
  options.cases[1] = (scratch / "out/b").string();
  options.skip_stability = false;
  int examined = 0;
  const std::optional<RankReport> mixed = rank_coolers(
      options, [&](const std::string& told) { examined += told.ends_with("examined") ? 1 : 0; });
  REQUIRE(mixed.has_value());
  CHECK(examined == 4);
  CHECK_THAT(mixed->notes.front(), ContainsSubstring("in b (4 of 4 conditions)") &&
                                       ContainsSubstring("not of like with like"));
}

TEST_CASE("Rank: what cannot be compared is refused before anything is solved", "[rank]") {
  const Scratch scratch("rank-wrong");
  put(scratch / "a.toml", tiny);
  put(scratch / "b.toml", tiny + "[room]\ntemperature_c = 30\n");
  const std::string a = (scratch / "a.toml").string();
  const std::string b = (scratch / "b.toml").string();
  CHECK_THROWS_WITH(rank({a, b}, scratch / "out"), ContainsSubstring("room.temperature_c") &&
                                                       ContainsSubstring("found 30") &&
                                                       ContainsSubstring("allowed 25"));
  CHECK_THROWS_WITH(rank({a}, scratch / "out"), ContainsSubstring("two or more"));
  CHECK_THROWS_WITH(rank({a, a}, scratch / "out"), ContainsSubstring("a second time"));
  std::filesystem::create_directories(scratch / "empty");
  CHECK_THROWS_WITH(rank({a, (scratch / "empty").string()}, scratch / "out"),
                    ContainsSubstring("no case.toml"));
  put(scratch / "empty/case.toml", tiny);
  CHECK_THROWS_WITH(rank({a, (scratch / "empty").string()}, scratch / "out"),
                    ContainsSubstring("4 of 4 conditions") && ContainsSubstring("--resume"));
  CHECK_FALSE(std::filesystem::exists(scratch / "out"));
}
