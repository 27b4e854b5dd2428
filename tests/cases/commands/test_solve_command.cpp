// tiltfin solve as a person runs it.

#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <chrono>
#include <csignal>
#include <thread>

using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

/// Waits for the first finished condition in `directory`; false after a minute without.
bool wait_for_first(const fs::path& directory) {
  for (int k = 0; k < 6000; ++k) {
    if (count_files(directory / "conditions", ".json") > 0) {
      return true;
    }
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  return false;
}

const std::string matrix = tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])");
/// Long enough to be interrupted: one chain of many powers.
const std::string long_chain = tiny_case_text(
    "[0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6]", R"(["upright"])");

/// Ends a run of `long_chain` by a signal once it has a condition: the code of an interruption,
/// some conditions finished, which is returned, and as many rows.
std::size_t interrupt_after_first(const Run& run, int signal, const fs::path& out) {
  const bool started = wait_for_first(out);
  run.signal(signal);
  CHECK(run.end() == 130);
  REQUIRE(started);
  const std::size_t finished = count_files(out / "conditions", ".json");
  CHECK(finished >= 1);
  CHECK(finished < 12);
  CHECK(rows_of(out / "summary.csv").size() == finished + 1);
  return finished;
}

} // namespace

TEST_CASE("Solve command: solve writes fields, pictures and tables of every condition",
          "[solve_command]") {
  const Scratch scratch("solve");
  put(scratch / "tiny.toml", matrix);
  const Run run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--listed-powers-only"});
  CHECK(run.end() == 0);
  CHECK(count_files(scratch / "out/fields", ".vtr") == 4);
  CHECK(count_files(scratch / "out/pictures", ".svg") == 4);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 5);
  CHECK(rows_of(scratch / "out/trend.csv").size() == 3);
  CHECK_THAT(text_of(scratch / "out/summary.json"), ContainsSubstring("base_rise_mean_k"));
  CHECK_THAT(run.out(), ContainsSubstring("upright") && ContainsSubstring("flat-up"));
  CHECK_THAT(run.err(), ContainsSubstring("4/4")); // plain progress lines, it is no terminal
  for (const auto& entry : fs::recursive_directory_iterator(scratch / "out")) {
    CHECK(entry.path().extension() != ".part"); // every temporary name was renamed
  }
}

TEST_CASE("Solve command: the tables are the same bytes for any number of jobs",
          "[solve_command][slow]") {
  const Scratch scratch("jobs");
  put(scratch / "tiny.toml", matrix);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "one", "--jobs", "1"}).end() == 0);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "two", "--jobs", "2"}).end() == 0);
  for (const char* name : {"summary.csv", "summary.json", "trend.csv"}) {
    const std::string one = text_of((scratch / "one") / name);
    CHECK_FALSE(one.empty());
    const bool is_same = one == text_of((scratch / "two") / name);
    CHECK(is_same);
  }
}

TEST_CASE("Solve command: an output directory that cannot be made ends with code 1",
          "[solve_command]") {
  const Scratch scratch("unwritable");
  put(scratch / "tiny.toml", matrix);
  put(scratch / "file", "kept");
  const Run run(scratch / "", {"solve", "tiny.toml", "-o", "file/out"});
  CHECK(run.end() == 1);
  CHECK_THAT(run.err(), ContainsSubstring("cannot make the directory file/out"));
  CHECK(run.out().empty());
  CHECK(text_of(scratch / "file") == "kept");
}

TEST_CASE("Solve command: only the chosen conditions are solved", "[solve_command]") {
  const Scratch scratch("only");
  put(scratch / "tiny.toml", matrix);
  CHECK(Run(scratch / "",
            {"solve", "tiny.toml", "-o", "out", "--only", "upright", "--listed-powers-only"})
            .end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 3);
  const Run none(scratch / "", {"solve", "tiny.toml", "-o", "none", "--only", "sideways"});
  CHECK(none.end() == 2);
  CHECK_FALSE(fs::exists(scratch / "none"));
  // The rest is added to what is there.
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--resume", "--listed-powers-only"})
            .end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 5);
}

TEST_CASE("Solve command: conditions that --only leaves out stay in the tables",
          "[solve_command][slow]") {
  const Scratch scratch("only-keeps");
  put(scratch / "tiny.toml", matrix);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out"}).end() == 0);
  const auto all = rows_of(scratch / "out/summary.csv");
  REQUIRE(all.size() > 5); // heading, four listed powers, and some added near the limits
  const auto stamp = [&](const char* id) {
    return fs::last_write_time(scratch / "out/conditions" / (std::string(id) + ".json"));
  };
  const auto upright = stamp("as-drawn_upright_0.1w");
  const auto flat = stamp("as-drawn_flat-up_0.1w");
  const Run some(scratch / "", {"solve", "tiny.toml", "-o", "out", "--only", "flat-up"});
  CHECK(some.end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv") == all);
  CHECK(stamp("as-drawn_upright_0.1w") == upright);
  CHECK(stamp("as-drawn_flat-up_0.1w") > flat); // solved anew
  CHECK_THAT(some.err(), ContainsSubstring("--only: 2 finished conditions that it does not"));
  // Nor do the powers near a limit go when none are added anew, or a chain is chosen in part.
  CHECK(Run(scratch / "",
            {"solve", "tiny.toml", "-o", "out", "--only", "flat-up", "--listed-powers-only"})
            .end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv") == all);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--only", "upright_0.2w"}).end() ==
        0);
  CHECK(rows_of(scratch / "out/summary.csv").size() == all.size());
}

TEST_CASE("Solve command: --start says which finished conditions --resume kept from it",
          "[solve_command]") {
  const Scratch scratch("start-resume");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  const std::vector<std::string> once{"solve", "tiny.toml", "-o", "out", "--listed-powers-only"};
  const auto with = [&](const std::vector<std::string>& more) {
    std::vector<std::string> words = once;
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  CHECK(Run(scratch / "", once).end() == 0);
  const Run kept(scratch / "", with({"--start", "mirrored", "--resume"}));
  CHECK(kept.end() == 0);
  CHECK_THAT(kept.err(), ContainsSubstring("--start mirrored: 1 finished condition that --resume "
                                           "keeps"));
  const Run anew(scratch / "", with({"--start", "mirrored"}));
  CHECK(anew.end() == 0);
  CHECK_THAT(anew.err(), !ContainsSubstring("--resume keeps"));
  const Run again(scratch / "", with({"--start", "search", "--resume"}));
  CHECK(again.end() == 0);
  CHECK_THAT(again.err(), ContainsSubstring("the start of an earlier run"));
}

TEST_CASE("Solve command: an option that is given no letters is refused", "[solve_command]") {
  const Scratch scratch("empty-option");
  put(scratch / "tiny.toml", matrix);
  for (const char* option : {"--tilts", "--only", "--accuracy", "--start"}) {
    CAPTURE(option);
    const Run run(scratch / "", {"solve", "tiny.toml", "-o", "out", option, ""});
    CHECK(run.end() == 2);
    CHECK_THAT(run.err(), ContainsSubstring(option) && ContainsSubstring("not empty"));
    CHECK_FALSE(fs::exists(scratch / "out"));
  }
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", ""}).end() == 2);
}

TEST_CASE("Solve command: a quick look says that stability was not examined", "[solve_command]") {
  const Scratch scratch("quick");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  const Run quick(scratch / "", {"solve", "tiny.toml", "-o", "out", "--skip-stability"});
  CHECK(quick.end() == 0);
  CHECK_THAT(quick.out(), ContainsSubstring("stability was not examined"));
  CHECK_THAT(text_of(scratch / "out/summary.csv"), ContainsSubstring(",skipped,"));
  CHECK_THAT(text_of(scratch / "out/summary.json"),
             ContainsSubstring("\"stability_examined\": false"));
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--resume"}).end() == 0);
  CHECK_THAT(text_of(scratch / "out/summary.csv"),
             ContainsSubstring(",stable,") && !ContainsSubstring("skipped"));
}

TEST_CASE("Solve command: --tilts turns the machine, alone where no condition is chosen",
          "[solve_command]") {
  const Scratch scratch("tilts-option");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  for (const char* angles : {"0:0:360", "360:15:0", "nan:1:2", "0:0.5:360", "quarter-left"}) {
    CAPTURE(angles);
    const Run wrong(scratch / "", {"solve", "tiny.toml", "-o", "out", "--tilts", angles});
    CHECK(wrong.end() == 2);
    CHECK_THAT(wrong.err(), ContainsSubstring("--tilts: found"));
    CHECK_FALSE(fs::exists(scratch / "out"));
  }
  const Run run(scratch / "",
                {"solve", "tiny.toml", "-o", "out", "--tilts", "-20:20:20", "--only", "tilt"});
  CHECK(run.end() == 0);
  CHECK_THAT(run.out(), ContainsSubstring("Every angle") && ContainsSubstring("best at") &&
                            ContainsSubstring("was not examined"));
  CHECK_FALSE(fs::exists(scratch / "out/summary.csv"));
  CHECK(fs::exists(scratch / "out/pictures/tilts-as-drawn.svg"));
  // The head, three angles asked for and those near the best and the worst.
  CHECK(rows_of(scratch / "out/tilts.csv").size() > 4);
  // The key in the case does the same beside the conditions.
  std::string text = tiny_case_text("[0.1]", R"(["upright"])");
  text.insert(text.find("[section]"), "tilts = [0, 20]\n");
  put(scratch / "key.toml", text);
  const Run both(scratch / "", {"solve", "key.toml", "-o", "both", "--skip-stability"});
  CHECK(both.end() == 0);
  CHECK_THAT(both.out(),
             ContainsSubstring("Power limit, best first") && ContainsSubstring("Every angle"));
  CHECK(fs::exists(scratch / "both/summary.csv"));
  CHECK(fs::exists(scratch / "both/tilts.csv"));
}

TEST_CASE("Solve command: --only leaves the rows of other sweeps in tilts.csv", "[solve_command]") {
  const Scratch scratch("tilts-only");
  put(scratch / "tiny.toml", tiny_case_text("[0.1, 0.2]", R"(["upright"])"));
  const auto sweep = [&](const std::string& only, const std::string& angles) {
    return Run(scratch / "",
               {"solve", "tiny.toml", "-o", "out", "--tilts", angles, "--only", only});
  };
  CHECK(sweep("tilt", "-20:20:20").end() == 0);
  const std::string whole = text_of(scratch / "out/tilts.csv");
  REQUIRE(rows_of(scratch / "out/tilts.csv").size() > 7);
  CHECK(sweep("tilt-20_0.1w", "-20:20:20").end() == 0); // solves its own sweep anew
  CHECK(text_of(scratch / "out/tilts.csv") == whole);
  const Run other = sweep("tilt-20_0.1w", "0:20:40"); // would not fit what stays
  CHECK(other.end() == 2);
  CHECK_THAT(other.err(), ContainsSubstring("--tilts: found other angles"));
  CHECK(text_of(scratch / "out/tilts.csv") == whole);
  // What is not on disk any more cannot stay, and that is said.
  fs::remove_all(scratch / "out/tilts");
  const Run alone = sweep("tilt-20_0.1w", "-20:20:20");
  CHECK(alone.end() == 0);
  CHECK_THAT(alone.out(), ContainsSubstring("Left out") && ContainsSubstring("0.2 W"));
}

TEST_CASE(
    "Solve command: a terminal that goes away ends it as an interruption does, nohup does not",
    "[solve_command][signals][slow]") {
  const Scratch scratch("hangup");
  put(scratch / "tiny.toml", long_chain);
  const std::vector<std::string> words{"solve", "tiny.toml",        "-o",
                                       "out",   "--skip-stability", "--listed-powers-only"};
  const Run run(scratch / "", words);
  interrupt_after_first(run, SIGHUP, scratch / "out");
  std::vector<std::string> resumed = words;
  resumed.emplace_back("--resume");
  CHECK(Run(scratch / "", resumed).end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 13);

  fs::remove_all(scratch / "out");
  const Run kept = Run::in_shell(scratch / "",
                                 "trap '' HUP; exec \"$0\" solve tiny.toml -o out --skip-stability "
                                 "--listed-powers-only");
  CHECK(wait_for_first(scratch / "out"));
  kept.signal(SIGHUP);
  CHECK(kept.end() == 0);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 13);
}

TEST_CASE("Solve command: a reader that goes away loses no results", "[solve_command][signals]") {
  const Scratch scratch("pipe");
  put(scratch / "tiny.toml", matrix);
  const Run run = Run::in_shell(scratch / "", "{ \"$0\" solve tiny.toml -o out --skip-stability "
                                              "--listed-powers-only; echo $? >rc.txt; } | :");
  CHECK(run.end() == 0); // of the reader
  CHECK(text_of(scratch / "rc.txt") == "1\n");
  CHECK(rows_of(scratch / "out/summary.csv").size() == 5);
  CHECK(fs::exists(scratch / "out/report.html"));
}

TEST_CASE("Solve command: one power beyond the model's range ends with code 3 and all tables",
          "[solve_command][beyond_range]") {
  const Scratch scratch("beyond");
  put(scratch / "tiny.toml", tiny_case_text("[0.1, 0.2, 2000]", R"(["upright"])"));
  const Run run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--listed-powers-only"});
  CHECK(run.end() == 3);
  CHECK(rows_of(scratch / "out/summary.csv").size() == 4);
  CHECK(rows_of(scratch / "out/trend.csv").size() == 2);
  CHECK(fs::exists(scratch / "out/report.html"));
  CHECK_THAT(run.out(), ContainsSubstring("upright") && ContainsSubstring("2000") &&
                            ContainsSubstring("beyond the model's range"));
}

TEST_CASE("Solve command: a killed run that is resumed gives the numbers of an uninterrupted one",
          "[solve_command][long]") {
  const Scratch scratch("killed");
  put(scratch / "tiny.toml", long_chain);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "whole"}).end() == 0);

  const Run killed(scratch / "", {"solve", "tiny.toml", "-o", "parts"});
  const bool started = wait_for_first(scratch / "parts");
  killed.signal(SIGKILL);
  CHECK(killed.end() == -SIGKILL);
  REQUIRE(started);
  CHECK_FALSE(fs::exists(scratch / "parts/summary.csv"));
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "parts", "--resume"}).end() == 0);

  const auto whole = rows_of(scratch / "whole/summary.csv");
  const auto parts = rows_of(scratch / "parts/summary.csv");
  REQUIRE(whole.size() > 13); // heading, twelve listed powers, and some added near the limit
  REQUIRE(parts.size() == whole.size());
  for (std::size_t row = 1; row < whole.size(); ++row) {
    for (std::size_t column = 0; column < whole[row].size(); ++column) {
      // It goes on from the finished state on disk, so nothing at all may differ.
      CHECK(parts[row][column] == whole[row][column]);
    }
  }
}

TEST_CASE("Solve command: an interrupted run keeps what is finished and ends with code 130",
          "[solve_command][slow]") {
  const Scratch scratch("interrupted");
  put(scratch / "tiny.toml", long_chain);
  const Run run(scratch / "", {"solve", "tiny.toml", "-o", "out"});
  const std::size_t finished = interrupt_after_first(run, SIGINT, scratch / "out");
  CHECK(count_files(scratch / "out/fields", ".vtr") == finished);
  CHECK_THAT(run.err(), ContainsSubstring("--resume"));
}
