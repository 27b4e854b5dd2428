// A search and a ranking in shares: merged, they are the bytes of one run. A study is ranked.

#include "tests/cases/case_texts.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/cases/study/same_files.hpp"
#include "tests/catch.hpp"

#include <algorithm>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

namespace fs = std::filesystem;

/// Fins along the board, which start from each other; a power of its own is searched at.
const std::string shared_block = small_box + R"([block]
fins_run = "along"
chip_thickness_mm = 2
chip_length_mm = 8
base_thickness_mm = 2
base_length_mm = 14
fins = 5
fin_thickness_mm = 1
fin_height_mm = 8
depth_mm = 20
)";

std::vector<std::string> choosing(std::vector<std::string> words, const std::string& directory,
                                  const std::string& share) {
  words.insert(words.end(), {"-o", directory, "--jobs", "1", "--skip-stability"});
  if (!share.empty()) {
    words.insert(words.end(), {"--share", share});
  }
  return words;
}

/// Shares by themselves, merged, and the same command again: what is there and what one run leaves.
void check_shares(const Scratch& scratch, const std::vector<std::string>& words) {
  REQUIRE(Run(scratch / "", choosing(words, "whole", "")).end() == 0);
  for (const char* k : {"1", "2"}) {
    const Run share(scratch / "", choosing(words, "part" + std::string(k), k + std::string("/2")));
    CHECK(share.end() == 0);
    CHECK_THAT(share.out(), ContainsSubstring("of 2 is done"));
    CHECK_FALSE(fs::exists(scratch / ("part" + std::string(k)) / (words[0] + ".csv")));
  }
  const Run merge(scratch / "", {"merge", "part2", "part1", "-o", "merged"});
  CHECK(merge.end() == 0);
  CHECK_THAT(merge.out(), ContainsSubstring("without --share and with -o merged"));
  CHECK(Run(scratch / "", choosing(words, "merged", "")).end() == 0);
  check_same_files(scratch / "merged", scratch / "whole", 20);
}

} // namespace

TEST_CASE("Shares: a search for the gap in parts, merged, is that of one run", "[shares]") {
  const Scratch scratch("spacing-shares");
  put(scratch / "block.toml", shared_block);
  const std::vector<std::string> words{"spacing",   "block.toml", "--min-gap-mm", "1",
                                       "--power-w", "0.3",        "--first",      "3"};
  check_shares(scratch, words);
  const Run wrong(scratch / "", choosing(words, "x", "1/3"));
  CHECK(wrong.end() == 2);
  CHECK_THAT(wrong.err(), ContainsSubstring("--share: found 1/3, allowed up to 2 shares"));
  CHECK_FALSE(fs::exists(scratch / "x"));
}

TEST_CASE("Shares: a ranking in parts, merged, is that of one run", "[shares]") {
  const Scratch scratch("rank-shares");
  put(scratch / "block.toml", shared_block);
  put(scratch / "short.toml", edited(shared_block, "fin_height_mm = 8", "fin_height_mm = 5"));
  check_shares(scratch, {"rank", "block.toml", "short.toml"});
  // A place that holds nothing of ours.
  fs::create_directory(scratch / "empty");
  const Run nothing(scratch / "", {"merge", "empty"});
  CHECK(nothing.end() == 2);
  CHECK_THAT(nothing.err(), ContainsSubstring("empty: found no study.toml in it, allowed"));
}

TEST_CASE("Rank: a study stands for its variants", "[shares]") {
  const Scratch scratch("rank-study");
  put(scratch / "block.toml", shared_block);
  put(scratch / "study.toml", "case = \"block.toml\"\n[vary]\nblock.fin_height_mm = [5, 8]\n"
                              "block.fins = [2, 3, 4, 5]\n");
  const Run study(scratch / "", {"study", "study.toml", "-o", "study", "--skip-stability",
                                 "--listed-powers-only", "--jobs", "1"});
  REQUIRE(study.end() == 0);
  const Run rank(scratch / "", {"rank", "study", "-o", "rank"});
  CHECK(rank.end() == 0);
  CHECK_THAT(rank.out(), ContainsSubstring("7 fin_height_mm 8, fins 5") &&
                             ContainsSubstring("all 8 coolers: density of aluminium") &&
                             ContainsSubstring("0 fin_height_mm 5, fins 2"));
  // Its limits are those of the study's own table.
  const std::string csv = text_of(scratch / "rank/rank.csv");
  const std::string own = text_of(scratch / "study/study.csv");
  CHECK(std::ranges::count(csv, '\n') == 1 + 8 * 2);
  CHECK(std::ranges::count(own, '\n') == 1 + 8 * 2);
  // Beside a case file, which is solved, and with a variant gone.
  put(scratch / "other.toml", edited(shared_block, "fins = 5", "fins = 4"));
  const Run more(scratch / "", {"rank", "other.toml", "study", "-o", "more", "--skip-stability",
                                "--listed-powers-only", "--jobs", "1"});
  CHECK(more.end() == 0);
  CHECK(std::ranges::count(text_of(scratch / "more/rank.csv"), '\n') == 1 + 9 * 2);
  fs::remove(scratch / "study/variants/000/000001.json");
  const Run gone(scratch / "", {"rank", "study", "-o", "rank"});
  CHECK(gone.end() == 2);
  CHECK_THAT(gone.err(), ContainsSubstring("study: found 1 of 8 variants without a result"));
}
