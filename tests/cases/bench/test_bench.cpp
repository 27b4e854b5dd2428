#include "cases/bench/bench.hpp"
#include "cases/file/case.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <vector>

namespace tiltfin::tests {
namespace {

const std::string demo = "cases/observatory-stack.toml"; // tests run at the project's root

BenchResult reduce_demo() {
  LogArguments arguments;
  arguments.logs = {demo};
  return reduce_bench(bench_input(arguments));
}

/// What the generator of the demo's logs was told, see tests/bench_logs/make_logs.cpp.
double true_rise(const std::string& orientation, double power) {
  const double base = orientation == "upright"   ? 1.24 * std::pow(power, 0.69)
                      : orientation == "flat-up" ? 1.72 * std::pow(power, 0.87)
                                                 : 1.76 * std::pow(power, 0.875);
  return base + 0.29 * power;
}

/// What a stack with such a [bench] is refused with.
std::string bench_refusal(const std::string& bench) {
  return refusal(stack_text + bench);
}

} // namespace

TEST_CASE("Bench: the demo's logs give back what they were made from", "[bench]") {
  // Nine intervals of nominally 95 %: fewer than two misses are expected with 93 % (binomial, by
  // hand), so one is allowed, and none may be off by more than two half-widths.
  const BenchResult result = reduce_demo();
  REQUIRE(result.rows.size() == 9);
  int n_missed = 0;
  for (const BenchRow& row : result.rows) {
    const double power = std::round(row.soak.power_w);
    const double away = std::abs(row.soak.rise_k - true_rise(row.orientation, power));
    CAPTURE(row.orientation, power, row.soak.rise_k, row.soak.rise_half_k, away);
    CHECK(away < 2.0 * row.soak.rise_half_k);
    n_missed += away > row.soak.rise_half_k ? 1 : 0;
    CHECK(row.used + row.missing + row.outside + row.bad == row.rows);
  }
  CHECK(n_missed <= 1);
  REQUIRE(result.trends.size() == 3);
  for (const BenchTrend& trend : result.trends) {
    CAPTURE(trend.orientation);
    CHECK(trend.limit_95.low < trend.limit.power_w);
    CHECK(trend.limit.power_w < trend.limit_95.high);
  }
}

TEST_CASE("Bench: the demo's drop-outs are reported with file and line", "[bench]") {
  const BenchResult result = reduce_demo();
  const std::string list = bad_row_list(result);
  CHECK_THAT(list, ContainsSubstring("flat-up.csv:178: bad row left out: -127,0 is outside"));
  CHECK_THAT(list, ContainsSubstring("'ERR' is not a number"));
  CHECK_THAT(list, ContainsSubstring("bad rows left out of 704"));
  const BenchRow& paused = result.rows[4]; // flat-up at 20 W
  CHECK(paused.empty_minutes == 8);
}

TEST_CASE("Bench: tables, json and chart say what was found", "[bench]") {
  LogArguments arguments;
  arguments.logs = {demo};
  const BenchInput input = bench_input(arguments);
  const BenchResult result = reduce_bench(input);
  const std::string table = bench_table(result.rows, result.trends, input.context);
  CHECK_THAT(table, ContainsSubstring("Power limit, best first"));
  CHECK_THAT(table, ContainsSubstring("What turning costs"));
  CHECK_THAT(table, ContainsSubstring("Student's t 12.7"));
  CHECK_THAT(table, ContainsSubstring("never settled"));
  CHECK_THAT(table, ContainsSubstring("licensed"));
  CHECK_THAT(bench_csv(result.rows), ContainsSubstring("rise_standard_error_k"));
  CHECK_THAT(bench_trend_csv(result.trends), ContainsSubstring("power_limit_low_w"));
  CHECK_THAT(bench_json(result.rows, result.trends, input.context),
             ContainsSubstring("\"power_limit_95_w\""));
  CHECK_THAT(bench_chart(result.rows, result.trends, input.context), ContainsSubstring("</svg>"));
}

TEST_CASE("Bench: between core and base stand die-to-base and spreading together", "[bench]") {
  // Base rises of 20 K at 10 W and 40 K at 20 W, so 2 K/W; 0.3 and 0.2 K/W up to the core, which
  // may be 75 K above its room: 75 / (2 + 0.3 + 0.2) = 30 W.
  const Scratch scratch("bench-spreading");
  std::string text = edited(stack_text, "temperature_c = 20", "temperature_c = 25") +
                     "[limit]\ntemperature_c = 100\ndie_to_base_k_per_w = 0.3\n"
                     "spreading_k_per_w = 0.2\n"
                     "[bench]\npanel = \"on\"\nat = \"base\"\nambient_c = 20\ntemperature = 2\n";
  for (const int power : {10, 20}) {
    const std::string file = "at-" + std::to_string(power) + ".csv";
    std::string log = "t_s,base\n";
    for (int k = 0; k < 40; ++k) {
      log += std::to_string(60 * k) + "," + std::to_string(20 + 2 * power) +
             (k % 2 == 0 ? ".1" : ".0") + "\n";
    }
    put(scratch / file, log);
    text += "[[bench.log]]\nfile = \"" + file +
            "\"\norientation = \"upright\"\npower_w = " + std::to_string(power) + "\n";
  }
  put(scratch / "case.toml", text);
  LogArguments arguments;
  arguments.logs = {(scratch / "case.toml").string()};
  const BenchInput input = bench_input(arguments);
  CHECK_THAT(input.context.core.core_to_base_k_per_w, WithinRel(0.5, 1e-12));
  const BenchResult result = reduce_bench(input);
  REQUIRE(result.trends.size() == 1);
  // The logs' 0.05 K on top of 20 and 40 K are 0.25 % of a rise at most; a limit without spreading
  // would be 9 % higher.
  CHECK_THAT(result.trends[0].limit.power_w, WithinRel(30.0, 0.005));
  CHECK_THAT(bench_table(result.rows, result.trends, input.context),
             ContainsSubstring("at the core (0.5 K/W from core to base"));
}

TEST_CASE("Bench: wrong [bench] tables are refused with line and key", "[bench]") {
  CHECK(
      bench_refusal("[bench]\npanel = \"on\"\n[[bench.log]]\nfile = \"a.csv\"\n"
                    "orientation = \"upright\"\ntemperature = \"T\"\nambient_c = 20\npower_w = 5\n")
          .empty());
  CHECK_THAT(bench_refusal("[bench]\n"), ContainsSubstring("at least one [[bench.log]]"));
  const std::string log =
      "[bench]\npanel = \"on\"\nambient_c = 20\ntemperature = 2\n[[bench.log]]\n"
      "file = \"a.csv\"\norientation = \"upright\"\n";
  CHECK_THAT(bench_refusal(log), ContainsSubstring("bench.log[1].power_w"));
  CHECK_THAT(bench_refusal(log + "power_w = -20\n"),
             ContainsSubstring("power_w") && ContainsSubstring("found -20") &&
                 ContainsSubstring("from 1e-06 to 1000000"));
  CHECK_THAT(bench_refusal(log + "power_w = 20\nambiant = \"x\"\n"), ContainsSubstring("ambiant"));
  CHECK_THAT(bench_refusal(log + "power_w = 20\npower = \"P\"\n"),
             ContainsSubstring("either power_w"));
  CHECK_THAT(bench_refusal(log + "power_w = 20\nfrom_min = 9\nto_min = 3\n"),
             ContainsSubstring("more than from_min"));
  CHECK_THAT(bench_refusal(log + "power_w = 20\npanel = \"ajar\"\n"), ContainsSubstring("on, off"));
  CHECK_THAT(bench_refusal(log + "power_w = 20\nparts = [{ from_min = 3 }]\nto_min = 9\n"),
             ContainsSubstring("one or the other"));
  CHECK_THAT(bench_refusal("[bench]\npanel = \"on\"\n[[bench.log]]\nfile = \"a.csv\"\n"
                           "orientation = \"sideways\"\n"),
             ContainsSubstring("sideways"));
}

TEST_CASE("Bench: logs from the command line, and what it refuses", "[bench]") {
  const Scratch scratch("bench-args");
  std::string text = "t_s,core,room\n";
  for (int k = 0; k < 40; ++k) {
    text += std::to_string(60 * k) + "," + (k % 2 == 0 ? "40.1" : "39.9") + ",20\n";
  }
  put(scratch / "a.csv", text);
  LogArguments arguments;
  const std::string log = (scratch / "a.csv").string();
  arguments.logs = {log, log};
  arguments.temperatures = {"core"};
  arguments.ambient = "room";
  arguments.powers_w = {10.0, 10.5};
  arguments.orientations = {"flat-up"};
  const BenchResult result = reduce_bench(bench_input(arguments));
  REQUIRE(result.rows.size() == 2);
  CHECK_THAT(result.rows[0].soak.rise_k, WithinAbs(20.0, 0.02));
  CHECK(result.rows[1].orientation == "flat-up");
  CHECK(std::isnan(result.trends[0].limit_95.low)); // two powers only
  CHECK_THAT(bench_table(result.rows, result.trends, bench_input(arguments).context),
             ContainsSubstring("no interval from 2 powers"));

  const auto refused = [&](auto change) {
    LogArguments wrong = arguments;
    change(wrong);
    try {
      (void)bench_input(wrong);
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  CHECK_THAT(refused([](LogArguments& a) { a.temperatures.clear(); }),
             ContainsSubstring("--temperature"));
  CHECK_THAT(refused([](LogArguments& a) {
               a.powers_w = {10.0, 11.0, 12.0};
             }),
             ContainsSubstring("3 values"));
  CHECK_THAT(refused([](LogArguments& a) { a.powers_w = {-1.0}; }),
             ContainsSubstring("--power-w: found -1"));
  CHECK_THAT(refused([](LogArguments& a) { a.orientations = {"sideways"}; }),
             ContainsSubstring("'sideways'"));
  CHECK_THAT(refused([](LogArguments& a) { a.ambient.clear(); }), ContainsSubstring("--ambient"));
  CHECK_THAT(refused([](LogArguments& a) { a.limit_c = 20.0; }), ContainsSubstring("--limit-c"));
  CHECK_THAT(refused([](LogArguments& a) { a.logs = {demo}; }), ContainsSubstring("describes"));
}

} // namespace tiltfin::tests
