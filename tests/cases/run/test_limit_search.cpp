#include "cases/run/limit_search.hpp"
#include "cases/run/results.hpp"
#include "cases/run/run.hpp"
#include "post/reports/summary.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// The block reaches 75 K above its room at some 0.9 W.
const std::string tiny = tiny_case_text("[0.1, 0.2]", R"(["upright"])");

RunOptions searching(const std::filesystem::path& directory) {
  RunOptions options;
  options.directory = directory;
  options.jobs = 1;
  options.adds_powers = true;
  return options;
}

CaseResults search(const std::string& case_text, const RunOptions& options,
                   const std::function<void(const Progress&)>& progress = {}) {
  return run_case(parse_case(case_text, "tiny.toml"), options, progress);
}

long n_added(const CaseResults& results) {
  return std::ranges::count_if(results.outcomes,
                               [](const Outcome& outcome) { return !is_listed(outcome); });
}

} // namespace

TEST_CASE("Limit search: the limit lies between solved powers that are close", "[limit_search]") {
  const Scratch scratch("bracketed");
  const CaseResults listed = search(tiny, [&] {
    RunOptions options = searching(scratch / "listed");
    options.adds_powers = false;
    return options;
  }());
  const CaseResults results = search(tiny, searching(scratch / "out"));
  REQUIRE(results.trends.size() == 1);
  const TrendRow& row = results.trends[0];
  CHECK(row.limit.parts.basis == LimitBasis::bracketed);
  CHECK(row.limit.parts.low_w <= row.limit.power_w.value);
  CHECK(row.limit.parts.high_w >= row.limit.power_w.value);
  CHECK(row.limit.parts.high_w <= 1.25 * row.limit.parts.low_w * (1.0 + 1e-9));
  CHECK(row.limit.search.empty());
  CHECK(row.limit.power_w.error > 0.0);
  // The fit stays that of the listed powers, and so does what depends on the largest of them.
  CHECK(row.trend.n_points == 2);
  CHECK(row.trend.exponent == listed.trends[0].trend.exponent);
  CHECK_FALSE(row.limit.skips_stability);
  CHECK(listed.trends[0].limit.extrapolated);
  CHECK(n_added(listed) == 0);
  // A row each, by power, of steady flows that nobody examined; and their files.
  CHECK(n_added(results) >= 2);
  for (std::size_t k = 0; k < results.outcomes.size(); ++k) {
    const Outcome& outcome = results.outcomes[k];
    CHECK(outcome.status == SolveStatus::converged);
    CHECK((k == 0 || outcome.power_w > results.outcomes[k - 1].power_w));
    if (!is_listed(outcome)) {
      CHECK(outcome.stability.state == Stability::not_examined);
      const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
      CHECK(std::filesystem::exists(scratch / "out/fields" / (id + ".vtr")));
    }
  }
  CHECK_THAT(text_of(scratch / "out/trend.csv"), ContainsSubstring(",bracketed,"));
  CHECK_THAT(text_of(scratch / "out/summary.csv"), ContainsSubstring(",added,"));
}

TEST_CASE("Limit search: interrupted and resumed it gives the bytes of an uninterrupted run",
          "[limit_search][slow]") {
  const Scratch scratch("search-stopped");
  const CaseResults whole = search(tiny, searching(scratch / "whole"));
  std::atomic<bool> stop = false;
  RunOptions stopped = searching(scratch / "parts");
  stopped.stop = &stop;
  const CaseResults first = search(
      tiny, stopped, [&](const Progress& progress) { stop = progress.adds && progress.done == 1; });
  CHECK(n_added(first) == 1);
  RunOptions resumed = searching(scratch / "parts");
  resumed.resume = true;
  int added = 0;
  bool solves = false;
  const CaseResults second = search(tiny, resumed, [&](const Progress& progress) {
    added = progress.adds ? progress.done : added;
    solves = solves || !progress.adds;
  });
  CHECK(added == n_added(whole) - 1);
  CHECK_FALSE(solves);
  for (const char* name : {"summary.csv", "trend.csv", "summary.json"}) {
    CHECK(text_of(scratch / "parts" / name) == text_of(scratch / "whole" / name));
  }
  // Once more there is nothing to do, and without adding what is there stays in the tables.
  for (const bool adds : {true, false}) {
    resumed.adds_powers = adds;
    bool any = false;
    const CaseResults again = search(tiny, resumed, [&](const Progress&) { any = true; });
    CHECK_FALSE(any);
    CHECK(summary_csv(again.outcomes) == summary_csv(whole.outcomes));
  }
}

TEST_CASE("Limit search: the case and the choice of conditions bound it", "[limit_search]") {
  const Scratch scratch("search-bounds");
  std::string none = tiny;
  none.replace(none.find("[section]"), 9, "added_powers = \"none\"\n[section]");
  CHECK(n_added(search(none, searching(scratch / "none"))) == 0);
  // One of two listed powers alone has no trend to go by: it is what was asked for.
  RunOptions one = searching(scratch / "one");
  one.only = {"0.1w"};
  CHECK(search(tiny, one).outcomes.size() == 1);
  CHECK_THROWS_WITH(
      parse_case(tiny_case_text("[0.1]", "[\"upright\"]\nadded_powers = \"some\""), "t.toml"),
      ContainsSubstring("key 'conditions.added_powers'") && ContainsSubstring("at-limit"));
}

TEST_CASE("Limit search: a quick look adds powers, too, and a later examination keeps them",
          "[limit_search][slow]") {
  const Scratch scratch("search-quick");
  RunOptions quick = searching(scratch / "out");
  quick.examine_stability = false;
  const CaseResults skipped = search(tiny, quick);
  CHECK(skipped.trends.at(0).limit.skips_stability);
  RunOptions examining = searching(scratch / "out");
  examining.resume = true;
  int added = 0;
  const CaseResults examined =
      search(tiny, examining, [&](const Progress& progress) { added += progress.adds ? 1 : 0; });
  CHECK(added == 0);
  CHECK(n_added(examined) == n_added(skipped));
  CHECK_FALSE(examined.trends.at(0).limit.skips_stability);
  CHECK_FALSE(std::isnan(examined.outcomes.front().steady_rise_k));
}

TEST_CASE("Limit search: a power that was added is examined when it is listed later",
          "[limit_search][slow]") {
  const Scratch scratch("search-listed");
  const CaseResults results = search(tiny, searching(scratch / "out"));
  const double added = results.trends.at(0).limit.parts.high_w;
  RunOptions options = searching(scratch / "out");
  options.resume = true;
  const CaseResults more = search(
      tiny_case_text("[0.1, 0.2, " + std::to_string(added) + "]", R"(["upright"])"), options);
  const auto row = std::ranges::find(more.outcomes, added, &Outcome::power_w);
  REQUIRE(row != more.outcomes.end());
  CHECK(is_listed(*row));
  CHECK(is_examined(row->stability.state));
  CHECK(more.trends.at(0).trend.n_points == 3);
  // In another room of powers the same condition was listed: here it is added.
  const CaseResults fewer = search(tiny, options);
  CHECK(n_added(fewer) == n_added(results));
  CHECK(fewer.trends.at(0).trend.n_points == 2);
}

TEST_CASE("Limit search: where the tables of air end the limit is more than the last power",
          "[limit_search]") {
  // At 900 degC the film would be at 735 K; they end at 600 K, when the block is 602 K above.
  const Scratch scratch("search-range");
  const CaseResults results =
      search(tiny + "[limit]\ntemperature_c = 900\n", searching(scratch / "out"));
  const SolvedLimit& limit = results.trends.at(0).limit;
  CHECK(limit.is_bound);
  CHECK_THAT(limit.search, ContainsSubstring("the model's range ends below"));
  CHECK(limit.power_w.value == limit.parts.low_w);
  CHECK(results.outcomes.back().origin == PowerOrigin::beyond_range);
  CHECK(results.outcomes.back().status == SolveStatus::not_converged);
  CHECK(std::isnan(results.outcomes.back().base_rise_mean_k.value));
  CHECK_THAT(readable_table(results.outcomes, results.trends, results.context),
             ContainsSubstring("more than") && !ContainsSubstring("* extrapolated"));
  CHECK_THAT(text_of(scratch / "out/trend.csv"), ContainsSubstring(",more than,"));
  RunOptions resumed = searching(scratch / "out");
  resumed.resume = true;
  bool any = false;
  const CaseResults again = search(tiny + "[limit]\ntemperature_c = 900\n", resumed,
                                   [&](const Progress&) { any = true; });
  CHECK_FALSE(any);
  CHECK(trend_csv(again.trends) == trend_csv(results.trends));
}

TEST_CASE("Limit search: a listed power beyond the tables of air is a row, the rest goes on",
          "[limit_search][beyond_range][slow]") {
  const Scratch scratch("listed-range");
  const std::string text = tiny_case_text("[0.1, 0.2, 2000]", R"(["upright", "flat-up"])");
  const CaseResults results = search(text, searching(scratch / "out"));
  int n_beyond = 0;
  for (const Outcome& outcome : results.outcomes) {
    const bool is_beyond = outcome.origin == PowerOrigin::listed_beyond_range;
    CHECK(is_beyond == (outcome.power_w == 2000.0));
    n_beyond += is_beyond ? 1 : 0;
    if (is_beyond) {
      CHECK(is_listed(outcome));
      CHECK(outcome.status == SolveStatus::not_converged);
      CHECK(std::isnan(outcome.base_rise_mean_k.value));
      CHECK_THAT(outcome.warnings.at(0),
                 ContainsSubstring("beyond the model's range") && ContainsSubstring("600 K"));
    }
  }
  CHECK(n_beyond == 2);
  // The limits are those of the powers that have a result, solved on both sides.
  const CaseResults without = search(tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])"),
                                     searching(scratch / "without"));
  REQUIRE(results.trends.size() == 2);
  for (std::size_t k = 0; k < 2; ++k) {
    CHECK(results.trends[k].limit.power_w.value == without.trends[k].limit.power_w.value);
    CHECK(results.trends[k].limit.status == SolveStatus::not_converged);
  }
  const std::string table = readable_table(results.outcomes, results.trends, results.context);
  CHECK_THAT(table, ContainsSubstring("# beyond the model's range: no result") &&
                        ContainsSubstring("upright, 2000 W"));
  CHECK_THAT(text_of(scratch / "out/summary.csv"),
             ContainsSubstring("2000,listed beyond the model's range,"));
  RunOptions resumed = searching(scratch / "out");
  resumed.resume = true;
  bool any = false;
  const CaseResults again = search(text, resumed, [&](const Progress&) { any = true; });
  CHECK_FALSE(any);
  CHECK(summary_csv(again.outcomes) == summary_csv(results.outcomes));
}
