// The program as a person runs it; `solve` alone: test_solve_command.cpp.

#include "cases/file/shown.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <cstdlib>
#include <fstream>

using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

fs::path first_condition(const fs::path& directory) {
  fs::path first;
  for (const auto& entry : fs::directory_iterator(directory / "conditions")) {
    if (entry.path().extension() == ".json" && (first.empty() || entry.path() < first)) {
      first = entry.path();
    }
  }
  return first;
}

const std::string matrix = tiny_case_text("[0.1, 0.2]", R"(["upright", "flat-up"])");
} // namespace

TEST_CASE("Command line: version and help end well, nonsense is bad input", "[command_line]") {
  const Scratch scratch("words");
  const Run version(scratch / "", {"--version"});
  CHECK(version.end() == 0);
  CHECK_THAT(version.out(), ContainsSubstring("tiltfin "));
  const Run help(scratch / "", {"solve", "--help"});
  CHECK(help.end() == 0);
  CHECK_THAT(help.out(), ContainsSubstring("--resume"));
  CHECK(Run(scratch / "", {}).end() == 2);
  const Run misspelt(scratch / "", {"solev", "a.toml"});
  CHECK(misspelt.end() == 2);
  CHECK_THAT(misspelt.err(), ContainsSubstring("solev") && ContainsSubstring("check, solve"));
  CHECK(Run(scratch / "", {"solve", "a.toml"}).end() == 2);
  CHECK(Run(scratch / "", {"solve", "a.toml", "-o", "out", "--jobs", "0"}).end() == 2);
}

TEST_CASE(
    "Command line: numbers of options are held to the bounds of the keys, texts are not empty",
    "[command_line]") {
  const Scratch scratch("bounds");
  put(scratch / "a.csv", "t_s,core\n0,30\n60,31\n");
  const std::vector<std::string> bench{"bench", "a.csv", "--temperature", "core", "--ambient-c"};
  const auto with = [&](std::vector<std::string> words, const std::vector<std::string>& more) {
    words.insert(words.end(), more.begin(), more.end());
    return words;
  };
  for (const std::vector<std::string>& words : {
           with(bench, {"20", "--power-w", "9", "--limit-c", "nan"}),
           with(bench, {"20", "--power-w", "9", "--limit-c", ""}),
           with(bench, {"20", "--power-w", "9", "--room-c", "nan"}),
           with(bench, {"20", "--power-w", "9", "--die-to-base", "inf"}),
           with(bench, {"20", "--power-w", "inf"}),
           with(bench, {"20", "--power-w", "1e-320"}),
           with(bench, {"nan", "--power-w", "9"}),
           with(bench, {"20", "--power-w", "9", "-o", ""}),
           {"spacing", "a.toml", "-o", "out", "--power-w", "nan"},
           {"spacing", "a.toml", "-o", "out", "--min-gap-mm", "nan"},
           {"spacing", "a.toml", "-o", "out", "--max-gap-mm", "0x10"},
           {"spacing", "a.toml", "-o", "out", "--min-thickness-mm", "1e-300"},
           {"spacing", "a.toml", "-o", "out", "--thickness-mm", "1e300"},
           {"spacing", "a.toml", "-o", "out", "--height-mm", "-inf"},
           {"spacing", "a.toml", "-o", "out", "--first", "2.5"},
           {"levers", "a.toml", "-o", "out", "--power-w", "nan"},
           {"levers", "a.toml", "-o", ""},
           {"spacing", "a.toml", "-o", ""},
           {"rank", "a.toml", "b.toml", "-o", ""},
           {"compare", "out", "a.csv", "-o", ""},
           {"solve", "a.toml", "-o", ""},
           {"solve", "a.toml", "-o", "out", "--max-cells", "nan"},
           {"check", ""},
       }) {
    CAPTURE(words);
    const Run run(scratch / "", words);
    CHECK(run.end() == 2);
    CHECK_THAT(run.err(), ContainsSubstring(": found '") || ContainsSubstring("an empty text"));
    CHECK(run.out().empty());
  }
  CHECK(count_files(scratch / "", ".json") == 0);
}

TEST_CASE("Command line: nothing from outside reaches a terminal or a csv raw", "[command_line]") {
  const Scratch scratch("clean");
  const Run named(scratch / "", {"check", "a\x1B[31m.toml"});
  CHECK(named.end() == 2);
  CHECK_THAT(named.err(), ContainsSubstring("on the command line") && !ContainsSubstring("\x1B"));
  put(scratch / "cells.csv", "t_s,core\n0,30\n60,\x1B[31m\n120,31\n180,\xFF\n240,30\n300,31\n");
  const Run cells(scratch / "", {"bench", "cells.csv", "--temperature", "core", "--ambient-c", "20",
                                 "--power-w", "9", "--panel", "=1+1", "-o", "out"});
  CHECK(cells.end() == 0);
  CHECK_THAT(cells.err(), ContainsSubstring("cells.csv:3: bad row") && !ContainsSubstring("\x1B") &&
                              !ContainsSubstring("\xFF"));
  CHECK_THAT(text_of(scratch / "out/bench.csv"), ContainsSubstring("\n'=1+1,"));
  put(scratch / "head.csv", "t_s,\x1B[2J\n0,30\n");
  const Run head(scratch / "", {"bench", "head.csv", "--temperature", "core", "--ambient-c", "20",
                                "--power-w", "9"});
  CHECK(head.end() == 2);
  CHECK_THAT(head.err(), ContainsSubstring("head.csv:1") && !ContainsSubstring("\x1B"));
}

TEST_CASE("Command line: a bad case file ends with code 2 and leaves nothing behind",
          "[command_line]") {
  const Scratch scratch("bad");
  put(scratch / "bad.toml", matrix + "growthh = 1.1\n");
  for (const std::vector<std::string>& words :
       {std::vector<std::string>{"check", "bad.toml"},
        std::vector<std::string>{"solve", "bad.toml", "-o", "out"}}) {
    const Run run(scratch / "", words);
    CHECK(run.end() == 2);
    CHECK_THAT(run.err(), ContainsSubstring("bad.toml:") && ContainsSubstring("growthh") &&
                              ContainsSubstring("growth"));
    CHECK(run.out().empty());
  }
  CHECK_FALSE(fs::exists(scratch / "out"));
  CHECK(count_files(scratch / "", ".svg") == 0);
  CHECK(Run(scratch / "", {"check", "missing.toml"}).end() == 2);
}

TEST_CASE("Command line: check draws the section where it is told", "[command_line]") {
  const Scratch scratch("check");
  put(scratch / "tiny.toml", matrix);
  const Run run(scratch / "", {"check", "tiny.toml"});
  CHECK(run.end() == 0);
  CHECK_THAT(run.out(), ContainsSubstring("block in a box"));
  CHECK_THAT(text_of(scratch / "tiny-section.svg"), ContainsSubstring("<svg"));
  CHECK(Run(scratch / "", {"check", "tiny.toml", "--svg", "drawn.svg"}).end() == 0);
  CHECK_THAT(text_of(scratch / "drawn.svg"), ContainsSubstring("</svg>"));
  fs::remove(scratch / "tiny-section.svg");
  CHECK(Run(scratch / "", {"check", "tiny.toml", "--no-svg"}).end() == 0);
  CHECK_FALSE(fs::exists(scratch / "tiny-section.svg"));
  CHECK(Run(scratch / "", {"check", "tiny.toml", "--svg", "nowhere/drawn.svg"}).end() == 1);
}

namespace {

/// A made-up soak that rises to `end_k` above 20 degrees with a time constant of ten minutes.
void put_soak(const fs::path& path, double end_k, int seconds) {
  std::ofstream file(path, std::ios::binary);
  file << "t_s,core,room\n";
  for (int k = 0; k < seconds; ++k) {
    const double noise = 0.05 * (k % 101 * 37 % 101 - 50) / 50.0;
    file << k << ',' << 20.0 + end_k * (1.0 - std::exp(-k / 600.0)) + noise << ",20\n";
  }
}

} // namespace

TEST_CASE("Command line: a long log takes no more memory than a short one",
          "[command_line][slow]") {
  const Scratch scratch("memory");
  // The address sanitizer would hold back all that was freed, which grows with the log.
  setenv("ASAN_OPTIONS", "quarantine_size_mb=0:thread_local_quarantine_size_kb=0", 1);
  constexpr int rows = 2'000'000; // 23 days, 45 MB
  put_soak(scratch / "short.csv", 30.0, 4'000);
  put_soak(scratch / "long.csv", 30.0, rows);
  const auto peak_of = [&](const char* log) {
    long peak = 0;
    const Run run(scratch / "",
                  {"bench", log, "--temperature", "core", "--ambient", "room", "--power-w", "10"});
    CHECK(run.end(peak) == 0);
    return peak;
  };
  const long peak_of_short = peak_of("short.csv");
  const long peak_of_long = peak_of("long.csv");
  CAPTURE(peak_of_short, peak_of_long);
  // A tenth of what keeping the samples would take, three numbers each; allocators differ by a
  // megabyte from run to run.
  const long kept = rows * 3L * 8L / 1024L;
  CHECK(peak_of_long < peak_of_short + kept / 10);
}

TEST_CASE("Command line: solve, bench, compare and calibrate in turn", "[command_line]") {
  const Scratch scratch("round-trip");
  // "block in a box": base rises of the tiny case are some kelvin at tenths of a watt.
  put(scratch / "tiny.toml", matrix);
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out"}).end() == 0);
  const auto solved = fs::last_write_time(first_condition(scratch / "out"));
  put(scratch / "tiny.toml", matrix + R"(
[bench]
temperature = "core"
ambient = "room"
[[bench.log]]
file = "a.csv"
orientation = "upright"
power_w = 0.1
[[bench.log]]
file = "b.csv"
orientation = "upright"
power_w = 0.2
)");
  put_soak(scratch / "a.csv", 3.0, 7200);
  put_soak(scratch / "b.csv", 5.5, 7200);
  // The logs came later: they make no other case, nothing is solved again.
  CHECK(Run(scratch / "", {"solve", "tiny.toml", "-o", "out", "--resume"}).end() == 0);
  CHECK(fs::last_write_time(first_condition(scratch / "out")) == solved);
  CHECK_THAT(text_of(scratch / "out/case.toml"), ContainsSubstring("[bench]"));
  const Run bench(scratch / "", {"bench", "tiny.toml", "-o", "out"});
  CHECK(bench.end() == 0);
  CHECK_THAT(bench.out(), ContainsSubstring("no interval from 2 powers"));
  for (const char* file : {"bench.csv", "bench-trend.csv", "bench.json", "bench.svg"}) {
    CHECK(fs::exists(scratch / "out" / file));
  }
  const Run compare(scratch / "",
                    {"compare", "out", "tiny.toml", "--calibrate", "heat-share", "-o", "out"});
  CHECK(compare.end() == 0);
  CHECK_THAT(compare.out(), ContainsSubstring("bias") && ContainsSubstring("Calibration"));
  CHECK(rows_of(scratch / "out" / "compare.csv").size() == 3);
  for (const char* file : {"compare.svg", "compare-soaks.csv", "warm-up.svg"}) {
    CHECK(fs::exists(scratch / "out" / file));
  }

  CHECK_THAT(compare.out(), !ContainsSubstring("of another case"));
  put(scratch / "other.toml", [&] {
    std::string other = text_of(scratch / "tiny.toml");
    return other.replace(other.find("y_mm = [8, 12]"), 14, "y_mm = [8, 11]");
  }());
  const Run doubted(scratch / "", {"compare", "out", "other.toml"});
  CHECK(doubted.end() == 0);
  CHECK_THAT(doubted.out(),
             ContainsSubstring("WARNING") && ContainsSubstring("the results are of another case"));

  const Run none(scratch / "", {"compare", "nowhere", "tiny.toml"});
  CHECK(none.end() == 2);
  CHECK_THAT(none.err(), ContainsSubstring("summary.json"));
  // Two unknowns from two points of one orientation: asked for and not to be had. The comparison
  // stands, the exit code says that the request was not met.
  const Run too_few(scratch / "", {"compare", "out", "tiny.toml", "--calibrate", "heat-share",
                                   "die-to-base", "-o", "refused"});
  CHECK(too_few.end() == 2);
  CHECK_THAT(too_few.out(), ContainsSubstring("refused:") && ContainsSubstring("bias"));
  CHECK_THAT(too_few.err(), ContainsSubstring("--calibrate: refused"));
  CHECK(rows_of(scratch / "refused" / "compare.csv").size() == 3);
  const Run three(scratch / "", {"compare", "out", "tiny.toml", "--calibrate", "heat-share",
                                 "depth", "die-to-base", "-o", "three"});
  CHECK(three.end() == 2);
  CHECK_THAT(three.err(), ContainsSubstring("found 3 unknowns"));
  CHECK_FALSE(fs::exists(scratch / "three"));
  const Run missing(scratch / "", {"bench", "gone.csv", "--temperature", "T", "--ambient-c", "20",
                                   "--power-w", "5", "-o", "new"});
  CHECK(missing.end() == 2);
  CHECK_THAT(missing.err(), ContainsSubstring("gone.csv"));
  CHECK_FALSE(fs::exists(scratch / "new"));
}

TEST_CASE("Command line: solve writes a page, report writes the same again",
          "[command_line][slow]") {
  const Scratch scratch("page");
  put(scratch / "tiny.toml", matrix);
  const Run solve(scratch / "", {"solve", "tiny.toml", "-o", "out", "--jobs", "1"});
  CHECK(solve.end() == 0);
  CHECK_THAT(solve.out(), ContainsSubstring("out/report.html"));
  const std::string page = text_of(scratch / "out/report.html");
  CHECK_THAT(page, ContainsSubstring("<h1>block in a box</h1>"));
  fs::remove(scratch / "out/report.html");
  const Run again(scratch / "", {"report", "out"});
  CHECK(again.end() == 0);
  CHECK(again.out() == "out/report.html\n");
  CHECK(text_of(scratch / "out/report.html") == page);

  fs::create_directories(scratch / "more");
  put(scratch / "more/bench.svg", "<svg width=\"10\" height=\"10\"/>");
  tiltfin::keep_shown(scratch / "more", {"bench.svg"}); // as `bench` does
  CHECK(Run(scratch / "", {"report", "out", "--also", "more"}).end() == 0);
  CHECK_THAT(text_of(scratch / "out/report.html"), ContainsSubstring("<section id=\"bench\""));
}

TEST_CASE("Command line: report refuses what holds no results, with code 2", "[command_line]") {
  const Scratch scratch("no-page");
  fs::create_directories(scratch / "empty");
  const Run empty(scratch / "", {"report", "empty"});
  CHECK(empty.end() == 2);
  CHECK_THAT(empty.err(), ContainsSubstring("empty: found no results to report"));
  CHECK(Run(scratch / "", {"report", "nowhere"}).end() == 2);
  put(scratch / "empty/summary.json", "{\"title\": 3}");
  const Run damaged(scratch / "", {"report", "empty"});
  CHECK(damaged.end() == 2);
  CHECK_THAT(damaged.err(), ContainsSubstring("empty: summary.json: "));
  CHECK_FALSE(fs::exists(scratch / "empty/report.html"));
}

TEST_CASE("Command line: spacing and rank refuse what they cannot compare, with code 2",
          "[command_line]") {
  const Scratch scratch("wrong-coolers");
  put(scratch / "tiny.toml", matrix);
  put(scratch / "warm.toml", matrix + "[room]\ntemperature_c = 35\n");
  const Run drawn(scratch / "", {"spacing", "tiny.toml", "-o", "out"});
  CHECK(drawn.end() == 2);
  CHECK_THAT(drawn.err(),
             ContainsSubstring("tiny.toml:") && ContainsSubstring("[block] or [stack]"));
  CHECK(Run(scratch / "", {"spacing", "tiny.toml", "-o", "out", "--min-gap-mm", "0"}).end() == 2);
  CHECK(Run(scratch / "", {"spacing", "tiny.toml"}).end() == 2);
  const Run one(scratch / "", {"rank", "tiny.toml", "-o", "out"});
  CHECK(one.end() == 2);
  CHECK_THAT(one.err(), ContainsSubstring("two or more"));
  const Run unlike(scratch / "", {"rank", "tiny.toml", "warm.toml", "-o", "out"});
  CHECK(unlike.end() == 2);
  CHECK_THAT(unlike.err(), ContainsSubstring("warm.toml: key 'room.temperature_c': found 35"));
  CHECK_FALSE(fs::exists(scratch / "out"));
}

TEST_CASE("Command line: levers prints what was not tried, and refuses with code 2",
          "[command_line]") {
  const Scratch scratch("levers-words");
  put(scratch / "tiny.toml", tiny_case_text("[0.2]", R"(["upright", "flat-up"])"));
  const Run run(scratch / "", {"levers", "tiny.toml", "-o", "out", "--jobs", "1"});
  CHECK(run.end() == 0);
  CHECK_THAT(run.out(), ContainsSubstring("What helps most") &&
                            ContainsSubstring("flat-up in place of upright") &&
                            ContainsSubstring("grille: no grille is described") &&
                            ContainsSubstring("Cautions"));
  CHECK(rows_of(scratch / "out/levers.csv").size() == 1 + 2 * 8);
  const Run other(scratch / "", {"levers", "tiny.toml", "-o", "new", "--from", "out"});
  CHECK(other.end() == 2);
  CHECK_THAT(other.err(), ContainsSubstring("--from out: found no case.toml"));
  CHECK_FALSE(fs::exists(scratch / "new"));
}

TEST_CASE("Command line: rank solves and prints the best of every row", "[command_line][slow]") {
  const Scratch scratch("rank-words");
  put(scratch / "tiny.toml", matrix);
  std::string other = matrix;
  other.replace(other.find("y_mm = [8, 12]"), 14, "y_mm = [8, 11]");
  put(scratch / "small.toml", other);
  const Run run(scratch / "", {"rank", "tiny.toml", "small.toml", "-o", "out", "--weights",
                               "upright=1", "--jobs", "1", "--listed-powers-only"});
  CHECK(run.end() == 0);
  CHECK_THAT(run.out(), ContainsSubstring("Take tiny") && ContainsSubstring("upright 100 %"));
  CHECK(rows_of(scratch / "out/rank.csv").size() == 5);
  CHECK(rows_of(scratch / "out/small/summary.csv").size() == 5);
}

TEST_CASE("Command line: output that is lost ends with code 1, whatever the command",
          "[command_line][lost_output]") {
  const Scratch scratch("lost-output");
  put(scratch / "tiny.toml", matrix);
  put(scratch / "a.csv", "t_s,core\n0,30\n60,31\n");
  for (const char* words :
       {"--help", "keys room", "check tiny.toml --no-svg", "new block -o new$n.toml",
        "bench a.csv --temperature core --ambient-c 20 --power-w 9"}) {
    for (const char* lost : {">/dev/full", ">&-"}) {
      CAPTURE(words, lost);
      const Run run =
          Run::in_shell(scratch / "", std::string("n=$$; exec \"$0\" ") + words + ' ' + lost);
      CHECK(run.end() == 1);
      CHECK_THAT(run.err(), ContainsSubstring("cannot write standard output"));
    }
  }
  const Run closed = Run::in_shell(scratch / "", "exec \"$0\" check no.toml >&- 2>&-");
  CHECK(closed.end() == 2); // what is wrong first counts
}

TEST_CASE("Command line: a solve goes on without anybody who reads",
          "[command_line][lost_output][slow]") {
  const Scratch scratch("lost-lines");
  put(scratch / "tiny.toml", matrix);
  const std::string solve = "\"$0\" solve tiny.toml -o out --skip-stability --listed-powers-only ";
  for (const char* lost : {"2>/dev/full", "2>&-", "2>&1 >out.txt | :"}) {
    CAPTURE(lost);
    fs::remove_all(scratch / "out");
    CHECK(Run::in_shell(scratch / "", solve + lost).end() == 0);
    CHECK(rows_of(scratch / "out/summary.csv").size() == 5);
    CHECK_THAT(text_of(scratch / "out.txt"), ContainsSubstring("All of it as a page"));
  }
  for (const char* lost : {">/dev/full", ">&-"}) {
    CAPTURE(lost);
    fs::remove_all(scratch / "out");
    const Run run = Run::in_shell(scratch / "", "exec " + solve + lost);
    CHECK(run.end() == 1);
    CHECK_THAT(run.err(), ContainsSubstring("4/4") && ContainsSubstring("cannot write standard"));
    CHECK(rows_of(scratch / "out/summary.csv").size() == 5);
  }
}
