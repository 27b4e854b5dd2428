#include "cases/bench/compare.hpp"
#include "cases/file/stored.hpp"
#include "post/reports/report.hpp"
#include "post/reports/summary.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// An invented soak: settled rise 25 K at 10 W, reached with a time constant, from a cold start.
void put_invented_soak(const std::filesystem::path& path, int minutes, double constant_s) {
  std::string log = "t_s,base\n";
  for (int k = 0; k < 6 * minutes; ++k) {
    const double time_s = 10.0 * k;
    const double noise = 0.02 * (k % 7 - 3);
    log += std::to_string(time_s) + "," +
           std::to_string(20.0 + 25.0 * (1.0 - std::exp(-time_s / constant_s)) + noise) + "\n";
  }
  put(path, log);
}

CompareArguments arguments_for(const Scratch& scratch, const std::string& log) {
  CompareArguments arguments;
  arguments.results = (scratch / "").string();
  arguments.logs.logs = {(scratch / log).string()};
  arguments.logs.temperatures = {"base"};
  arguments.logs.ambient_c = 20.0;
  arguments.logs.powers_w = {10.0};
  arguments.logs.is_at_base = true;
  return arguments;
}

/// Results of 2.5 K/W, with a cooler of 600 J/K: 1500 s.
void put_results(const Scratch& scratch, double capacity) {
  const std::vector<Outcome> outcomes{outcome_of("panel-on", "upright", 10.0, 25.0),
                                      outcome_of("panel-on", "upright", 20.0, 50.0)};
  ReportContext context = context_of();
  context.metal_capacity_j_per_k = capacity;
  write_stored_json(scratch / "summary.json",
                    summary_json(outcomes, make_trends(outcomes, context), context), "");
}

ComparisonReport compared(const CompareArguments& arguments) {
  const BenchInput input = bench_input(arguments.logs);
  return compare_with_bench(arguments, input, reduce_bench(input));
}

} // namespace

TEST_CASE("Compare: a soak that is too short is told how long it should be", "[compare]") {
  const Scratch scratch("compare-short");
  put_results(scratch, 600.0);
  put_invented_soak(scratch / "half-hour.csv", 30, 1500.0);
  const ComparisonReport report = compared(arguments_for(scratch, "half-hour.csv"));
  REQUIRE(report.soaks.size() == 1);
  const SoakLength& soak = report.soaks[0];
  CHECK(soak.status != SoakStatus::settled);
  CHECK_THAT(soak.time_constant_s, WithinRel(1500.0, 1e-9));
  CHECK_THAT(soak.computed_rise_k, WithinRel(25.0, 1e-9));
  CHECK_THAT(
      comparison_table(report),
      ContainsSubstring("not settled: 30 min are 1.2 time constants of this cooler; a soak") &&
          ContainsSubstring("116"));
  CHECK_THAT(soak_length_csv(report),
             ContainsSubstring("computed_settling_time_min") && ContainsSubstring("115.1"));
  CHECK_THAT(comparison_json(report), ContainsSubstring("\"soaks\""));
  CHECK_THAT(warm_up_chart(report), ContainsSubstring("computed") && ContainsSubstring("</svg>"));
}

TEST_CASE("Compare: a long soak needs no verdict, and without the metal there is none",
          "[compare]") {
  const Scratch scratch("compare-long");
  put_results(scratch, 600.0);
  put_invented_soak(scratch / "long.csv", 240, 1500.0);
  const ComparisonReport report = compared(arguments_for(scratch, "long.csv"));
  CHECK(report.soaks.at(0).status == SoakStatus::settled);
  CHECK_THAT(comparison_table(report),
             ContainsSubstring("Length of the soaks") && !ContainsSubstring("not settled"));
  // The computed warm-up lies on the log that was made of it, within its noise of 0.06 K and what
  // a minute's mean makes of the start.
  const WarmUp warm_up{0.0, report.soaks[0].computed_rise_k, report.soaks[0].time_constant_s};
  REQUIRE(report.soaks[0].log.size() > 50);
  for (const SoakMean& mean : report.soaks[0].log) {
    CHECK_THAT(mean.rise_k, WithinAbs(warm_up.rise_k(mean.time_s), 0.1));
  }
  put_results(scratch, tiltfin::nan);
  const ComparisonReport unknown = compared(arguments_for(scratch, "long.csv"));
  CHECK_THAT(comparison_table(unknown), !ContainsSubstring("Length of the soaks"));
  CHECK_THAT(warm_up_chart(unknown), !ContainsSubstring("computed<"));
}

TEST_CASE("Compare: logs of another machine are refused or doubted", "[compare]") {
  const Scratch scratch("compare-other");
  put_results(scratch, 600.0);
  put_invented_soak(scratch / "a.csv", 240, 1500.0);
  put_invented_soak(scratch / "b.csv", 240, 1500.0);
  CompareArguments arguments = arguments_for(scratch, "a.csv");
  const auto refused = [&] {
    try {
      (void)compared(arguments);
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK(compared(arguments).doubts.empty());
  arguments.logs.orientations = {"flat-down"};
  CHECK_THAT(refused(), ContainsSubstring("found no condition of panel state panel-on and "
                                          "orientation flat-down") &&
                            ContainsSubstring("they hold panel-on upright"));
  arguments.logs.orientations = {"upright"};
  arguments.logs.panels = {"ajar"};
  CHECK_THAT(refused(), ContainsSubstring("panel state ajar"));
  arguments.logs.panels = {};
  arguments.logs.powers_w = {90.0};
  CHECK_THAT(refused(), ContainsSubstring("no power within a factor of 2 of a log's 90 W"));
  // 25 K measured where 37.5 and 45 K are computed, at 15 and 18 W: 1.5 and 1.8 times as much, so
  // at 16 and 18 W all are beyond 1.5.
  arguments.logs.logs.push_back((scratch / "b.csv").string());
  arguments.logs.powers_w = {16.0, 18.0};
  const ComparisonReport report = compared(arguments);
  REQUIRE(report.doubts.size() == 1);
  CHECK_THAT(report.doubts[0], ContainsSubstring("every computed rise is 1.6 to 1.8 times"));
  CHECK_THAT(comparison_table(report),
             ContainsSubstring("WARNING: are these logs of this machine"));
  CHECK_THAT(comparison_json(report), ContainsSubstring("\"doubts\": ["));
}

TEST_CASE("Bench: a soak that never settled says how long it should have been", "[bench]") {
  const Scratch scratch("bench-short");
  // Half an hour of a cooler of 25 min: the approach is fitted, its own constant tells.
  put_invented_soak(scratch / "half-hour.csv", 30, 1500.0);
  const BenchResult fitted =
      reduce_bench(bench_input(arguments_for(scratch, "half-hour.csv").logs));
  CHECK(fitted.rows.at(0).soak.status == SoakStatus::extrapolated);
  CHECK_THAT(fitted.rows[0].soak.warning, ContainsSubstring("never settled") &&
                                              ContainsSubstring("1.2 time constants") &&
                                              ContainsSubstring("settles to 1 %"));
  // Of one of three hours nothing can be fitted. With a known metal it gives a bound all the same:
  // 3000 J/K and the rise of 3.8 K at 10 W that it came to are 1150 s at least.
  put_invented_soak(scratch / "heavy.csv", 30, 10800.0);
  BenchInput input = bench_input(arguments_for(scratch, "heavy.csv").logs);
  CHECK_THAT(reduce_bench(input).rows.at(0).soak.warning, !ContainsSubstring("time constants"));
  input.context.metal_capacity_j_per_k = 3000.0;
  CHECK_THAT(reduce_bench(input).rows.at(0).soak.warning,
             ContainsSubstring("not settled: 30 min are at most 1.6 time constants") &&
                 ContainsSubstring("at least"));
}
