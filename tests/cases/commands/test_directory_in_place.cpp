// A directory where a file of results belongs.

#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <map>

using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

/// Every file below a directory with its bytes.
std::map<std::string, std::string> contents(const fs::path& directory) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(directory)) {
    if (entry.is_regular_file()) {
      files[entry.path().string()] = text_of(entry.path());
    }
  }
  return files;
}

} // namespace

TEST_CASE("Directory in place of a file: refused before anything is solved, nothing is lost",
          "[directory_in_place]") {
  const Scratch scratch("in-place");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  const std::vector<std::string> solve{
      "solve",   "tiny.toml", "-o", "out", "--skip-stability", "--listed-powers-only",
      "--tilts", "0,20"};
  REQUIRE(Run(scratch / "", solve).end() == 0);
  const std::string id = "as-drawn_upright_0.1w";
  for (const std::string& file :
       {"conditions/" + id + ".json", "conditions/" + id + ".restart", "fields/" + id + ".vtr",
        "pictures/" + id + ".svg", std::string("pictures/tilts-as-drawn.svg"),
        std::string("sheets/0.1w.svg"), std::string("summary.csv"), std::string("summary.json"),
        std::string("trend.csv"), std::string("heat.csv"), std::string("why.csv"),
        std::string("why.json"), std::string("tilts.csv"), std::string("report.html"),
        std::string("case.toml"), std::string("tilts/angles.txt"),
        "conditions/" + id + ".json.part"}) {
    CAPTURE(file);
    const fs::path place = (scratch / "out") / file;
    const std::string before = text_of(place);
    fs::remove_all(place);
    fs::create_directories(place);
    put(place / "mine.txt", "kept");
    const auto held = contents(scratch / "out");
    for (const char* more : {"", "--resume"}) {
      std::vector<std::string> words = solve;
      if (*more != '\0') {
        words.emplace_back(more);
      }
      const Run run(scratch / "", words);
      CHECK(run.end() == 1);
      CHECK_THAT(run.err(), ContainsSubstring("cannot write the file out/" + file) &&
                                ContainsSubstring("a directory is in its place; move it away"));
      CHECK(contents(scratch / "out") == held);
    }
    fs::remove_all(place);
    if (!before.empty()) {
      put(place, before);
    }
  }
  std::vector<std::string> again = solve;
  again.emplace_back("--resume");
  CHECK(Run(scratch / "", again).end() == 0);
}

TEST_CASE("Directory in place of a file: report says which", "[directory_in_place]") {
  const Scratch scratch("page-in-place");
  put(scratch / "tiny.toml", tiny_case_text("[0.1]", R"(["upright"])"));
  REQUIRE(Run(scratch / "",
              {"solve", "tiny.toml", "-o", "out", "--skip-stability", "--listed-powers-only"})
              .end() == 0);
  fs::remove(scratch / "out/report.html");
  fs::create_directories(scratch / "out/report.html");
  const Run page(scratch / "", {"report", "out"});
  CHECK(page.end() == 1);
  CHECK_THAT(page.err(), ContainsSubstring("out/report.html") && ContainsSubstring("move it away"));
  fs::remove(scratch / "out/report.html");
  fs::remove(scratch / "out/why.json");
  fs::create_directories(scratch / "out/why.json");
  const Run read(scratch / "", {"report", "out"});
  CHECK(read.end() == 2);
  CHECK_THAT(read.err(), ContainsSubstring("out/why.json: found a directory, allowed"));
  CHECK_FALSE(fs::exists(scratch / "out/report.html"));
}
