// Numbers that no machine has never end with code 0.

#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

/// A tiny case whose base comes to 450 degC at 25 W, as it was solved once; solder melts at 217.
const std::string melting = tiny_case_text("[1, 25]", R"(["upright"])");

} // namespace

TEST_CASE("Outside the model: a base that melts is said in every file, with code 3",
          "[outside_model]") {
  const Scratch scratch("melting");
  put(scratch / "hot.toml", melting);
  const Run run(scratch / "", {"solve", "hot.toml", "-o", "hot", "--skip-stability"});
  CHECK(run.end() == 3);
  CHECK_THAT(run.out(), ContainsSubstring("!! outside the model: no number of a machine") &&
                            ContainsSubstring("solder melts"));
  CHECK_THAT(text_of(scratch / "hot/summary.csv"), ContainsSubstring(",outside the model,"));
  CHECK_THAT(text_of(scratch / "hot/summary.json"),
             ContainsSubstring("\"standing\": \"outside the model\""));
  CHECK_THAT(text_of(scratch / "hot/report.html"),
             ContainsSubstring("Outside the model: no numbers of a machine") &&
                 ContainsSubstring("converged, outside the model"));
  // Kept as it is by a run that solves nothing.
  CHECK(
      Run(scratch / "", {"solve", "hot.toml", "-o", "hot", "--skip-stability", "--resume"}).end() ==
      3);

  std::string log = "t_s,core\n"; // settled at 40 K
  for (int k = 0; k < 40; ++k) {
    log += std::to_string(60 * k) + (k % 2 == 0 ? ",60.1\n" : ",60.0\n");
  }
  put(scratch / "a.csv", log);
  const Run compared(scratch / "", {"compare", "hot", "a.csv", "--temperature", "core",
                                    "--ambient-c", "20", "--power-w", "1", "--panel", "as-drawn"});
  CHECK(compared.end() == 3);
  CHECK_THAT(compared.out(), ContainsSubstring("WARNING: computed conditions that lie outside"));
}

TEST_CASE("Outside the model: a limit far above the solved powers is none, with code 3",
          "[outside_model]") {
  const Scratch scratch("far-limit");
  put(scratch / "a.toml", tiny_case_text("[1e-6, 2e-6]", R"(["upright"])"));
  put(scratch / "b.toml", tiny_case_text("[1e-6, 2e-6]", R"(["upright"])"));
  for (const char* name : {"a", "b"}) {
    const Run run(scratch / "", {"solve", name + std::string(".toml"), "-o", name,
                                 "--skip-stability", "--listed-powers-only"});
    CHECK(run.end() == 3);
    CHECK_THAT(run.out(), ContainsSubstring("converged, outside the model") &&
                              ContainsSubstring("lies above the solved powers"));
    CHECK_THAT(text_of((scratch / name) / "trend.csv"),
               ContainsSubstring(",outside the model,") && ContainsSubstring("limit_doubt"));
  }
  const Run rank(scratch / "", {"rank", "a", "b", "-o", "ranked"});
  CHECK(rank.end() == 3);
  CHECK_THAT(rank.out(), ContainsSubstring("Nothing to recommend"));
  CHECK_THAT(text_of(scratch / "ranked/rank.csv"), ContainsSubstring(",outside the model,"));
}

TEST_CASE("Outside the model: bench says the same of measured limits", "[outside_model]") {
  const Scratch scratch("far-bench");
  for (const int power : {1, 2}) { // rises of 0.1 and 0.2 K: 750 W to 75 K
    std::string log = "t_s,core\n";
    for (int k = 0; k < 40; ++k) {
      log += std::to_string(60 * k) + "," + std::to_string(20.0 + 0.1 * power + 0.001 * (k % 2)) +
             "\n";
    }
    put(scratch / ("p" + std::to_string(power) + ".csv"), log);
  }
  const Run run(scratch / "", {"bench", "p1.csv", "p2.csv", "--temperature", "core", "--ambient-c",
                               "20", "--power-w", "1", "2", "-o", "out"});
  CHECK(run.end() == 3);
  CHECK_THAT(run.out(), ContainsSubstring("outside the model"));
  CHECK_THAT(text_of(scratch / "out/bench-trend.csv"), ContainsSubstring(",outside the model,"));
}
