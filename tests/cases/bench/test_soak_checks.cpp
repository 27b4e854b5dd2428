#include "cases/bench/bench.hpp"
#include "cases/input/input_error.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

#include <fmt/format.h>

#include <cmath>

namespace tiltfin::tests {
namespace {

/// One soak of an invented machine, 2 K/W and a time constant of ten minutes, after another.
struct Stage {
  int minutes = 0;
  double power_w = 0.0;
};

/// Rows every ten seconds: time, core, room, power. `unit`: seconds in the unit of the times.
std::string staged_log(const std::vector<Stage>& stages, const std::string& time = "t_s",
                       double unit = 1.0) {
  std::string text = time + ",core,room,P\n";
  double rise = 0.0;
  int row = 0;
  for (const Stage& stage : stages) {
    for (int k = 0; k < 6 * stage.minutes; ++k, ++row) {
      rise += (2.0 * stage.power_w - rise) * (1.0 - std::exp(-10.0 / 600.0));
      const double noise = 0.02 * (row * 37 % 101 - 50) / 50.0;
      text += fmt::format("{:.0f},{:.3f},20.0,{:.2f}\n", 10.0 * row / unit, 20.0 + rise + noise,
                          stage.power_w);
    }
  }
  return text;
}

LogArguments arguments_of(const Scratch& scratch, const std::string& log) {
  put(scratch / "log.csv", log);
  LogArguments arguments;
  arguments.logs = {(scratch / "log.csv").string()};
  arguments.temperatures = {"core"};
  arguments.ambient = "room";
  arguments.powers_w = {10.0};
  return arguments;
}

BenchResult reduced(const LogArguments& arguments) {
  return reduce_bench(bench_input(arguments));
}

std::string refused(const LogArguments& arguments) {
  try {
    (void)reduced(arguments);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

const std::vector<Stage> three{{120, 10.0}, {120, 20.0}, {120, 40.0}};

} // namespace

TEST_CASE("Bench: one log with three steps of power is three soaks", "[bench]") {
  const Scratch scratch("bench-steps");
  LogArguments arguments = arguments_of(scratch, staged_log(three));
  arguments.powers_w = {};
  arguments.power = "P";
  const BenchResult result = reduced(arguments);
  REQUIRE(result.rows.size() == 3);
  const std::vector<double> powers{10.0, 20.0, 40.0};
  for (std::size_t k = 0; k < 3; ++k) {
    CAPTURE(k);
    CHECK_THAT(result.rows[k].soak.power_w, WithinRel(powers[k], 1e-9));
    CHECK(result.rows[k].soak.status == SoakStatus::settled);
    // 120 min are 12 time constants: 6e-6 of the step are missing; the noise is 0.02 K.
    CHECK_THAT(result.rows[k].soak.rise_k, WithinAbs(2.0 * powers[k], 0.05));
    CHECK_THAT(result.rows[k].notes.back(), ContainsSubstring("3 steps of power in column 'P'"));
  }
  REQUIRE(result.trends.size() == 1);
  CHECK(result.trends[0].trend.n_points == 3);
  // Idle before and after belongs to no soak, nor does a short change between two powers.
  arguments = arguments_of(scratch,
                           staged_log({{30, 0.0}, {120, 10.0}, {4, 60.0}, {120, 20.0}, {60, 0.0}}));
  arguments.powers_w = {};
  arguments.power = "P";
  const BenchResult framed = reduced(arguments);
  REQUIRE(framed.rows.size() == 2);
  CHECK_THAT(framed.rows[0].soak.power_w, WithinRel(10.0, 1e-9));
  CHECK_THAT(framed.rows[1].soak.power_w, WithinRel(20.0, 1e-9));
}

TEST_CASE("Bench: several soaks without a column of power are refused, parts are taken",
          "[bench]") {
  const Scratch scratch("bench-parts");
  LogArguments arguments = arguments_of(scratch, staged_log(three));
  CHECK_THAT(refused(arguments), ContainsSubstring("log.csv: found a temperature that sets off") &&
                                     ContainsSubstring("near minute 120 and 240") &&
                                     ContainsSubstring("--part 0:120=WATTS --part 120:240=WATTS"));
  arguments.powers_w = {};
  arguments.parts = {"0:120=10", "120:240=20", "240:=40"};
  const BenchResult result = reduced(arguments);
  REQUIRE(result.rows.size() == 3);
  CHECK_THAT(result.rows[1].soak.rise_k, WithinAbs(40.0, 0.05));
  CHECK_THAT(result.rows[2].soak.rise_k, WithinAbs(80.0, 0.05));
  for (const char* wrong : {"0", "0:x=10", "120:60=10", "0:60=nan", "0:60=0", "0:60=", "-1:60=5",
                            "0:1e300=5", "0:60", "nan:60=5"}) {
    CAPTURE(wrong);
    arguments.parts = {wrong};
    CHECK_THAT(refused(arguments), ContainsSubstring("--part: found '"));
  }
  arguments.parts = {"0:120=10"};
  arguments.logs.push_back(arguments.logs.front());
  CHECK_THAT(refused(arguments), ContainsSubstring("--part: found it beside 2 logs"));
  // Down as well as up, and a single soak that begins idle is one.
  CHECK_THAT(refused(arguments_of(scratch, staged_log({{120, 40.0}, {120, 20.0}}))),
             ContainsSubstring("near minute 120"));
  CHECK(refused(arguments_of(scratch, staged_log({{40, 0.0}, {180, 10.0}}))).empty());
  CHECK(refused(arguments_of(scratch, staged_log({{240, 10.0}}))).empty());
}

TEST_CASE("Bench: a core colder than its room is no soak", "[bench]") {
  const Scratch scratch("bench-cold");
  LogArguments arguments = arguments_of(scratch, staged_log({{240, 10.0}}));
  arguments.temperatures = {"room"};
  arguments.ambient = "core";
  CHECK_THAT(refused(arguments),
             ContainsSubstring("colder than its room at 10 W") && ContainsSubstring("exchanged"));
}

TEST_CASE("Bench: milliseconds are not taken for seconds", "[bench]") {
  const Scratch scratch("bench-ms");
  LogArguments arguments = arguments_of(scratch, staged_log({{120, 10.0}}, "t", 1e-3));
  CHECK_THAT(refused(arguments), ContainsSubstring("log.csv: found times that nothing says the") &&
                                     ContainsSubstring("--time-unit"));
  arguments.time_unit = "ms";
  CHECK_THAT(reduced(arguments).rows.at(0).soak.rise_k, WithinAbs(20.0, 0.05));
  // A heading that says seconds where it means milliseconds.
  CHECK_THAT(refused(arguments_of(scratch, staged_log({{120, 10.0}}, "t_s", 1e-3))),
             ContainsSubstring("minutes without a sample"));
}

TEST_CASE("Bench: a soak without a usable row keeps the power that was given", "[bench]") {
  const Scratch scratch("bench-no-row");
  LogArguments arguments = arguments_of(scratch, staged_log({{120, 10.0}}));
  arguments.powers_w = {};
  arguments.parts = {"0:120=10", "500:600=25"};
  const BenchResult result = reduced(arguments);
  REQUIRE(result.rows.size() == 2);
  CHECK(result.rows[1].soak.status == SoakStatus::unsettled);
  CHECK(result.rows[1].soak.power_w == 25.0);
  CHECK_THAT(result.rows[1].soak.warning, ContainsSubstring("only 0 means"));
}

} // namespace tiltfin::tests
