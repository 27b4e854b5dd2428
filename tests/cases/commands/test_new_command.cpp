// tiltfin new and keys as a person runs them.

#include "cases/file/starters.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

using namespace tiltfin::tests;

TEST_CASE("New command: what it writes passes check and is solved", "[new_command][slow]") {
  const Scratch scratch("new");
  for (const tiltfin::Starter& starter : tiltfin::starters()) {
    CAPTURE(starter.type);
    const std::string file = std::string("my-") + starter.type + ".toml";
    const std::string results = std::string("results/my-") + starter.type;
    const Run made(scratch / "", {"new", starter.type, "-o", file});
    CHECK(made.end() == 0);
    CHECK(text_of(scratch / file) == starter.text);
    CHECK_THAT(made.out(),
               ContainsSubstring("tiltfin check " + file + '\n') &&
                   ContainsSubstring("tiltfin solve " + file + " -o " + results + '\n'));
    CHECK(Run(scratch / "", {"check", file}).end() == 0);
    // One condition: all of them take a minute (the next case).
    CHECK(Run(scratch / "",
              {"solve", file, "-o", results, "--only", "upright_5w", "--skip-stability"})
              .end() == 0);
    CHECK(rows_of(scratch / results / "summary.csv").size() == 2);
  }
}

TEST_CASE("New command: the starters come out with all defaults", "[new_command][long]") {
  const Scratch scratch("new-solved");
  for (const tiltfin::Starter& starter : tiltfin::starters()) {
    CAPTURE(starter.type);
    put(scratch / "my.toml", starter.text);
    const Run solved(scratch / "", {"solve", "my.toml", "-o", starter.type});
    CHECK(solved.end() == 0); // every listed condition converged
    // Both limits lie between solved powers.
    const auto trends = rows_of(scratch / starter.type / "trend.csv");
    REQUIRE(trends.size() == 3);
    CHECK(trends[1].at(6) == "bracketed");
    CHECK(trends[2].at(6) == "bracketed");
  }
}

TEST_CASE("New command: nothing is overwritten, and what is needed is said", "[new_command]") {
  const Scratch scratch("new-refused");
  put(scratch / "mine.toml", "kept");
  const Run again(scratch / "", {"new", "block", "-o", "mine.toml"});
  CHECK(again.end() == 2);
  CHECK_THAT(again.err(), ContainsSubstring("mine.toml") && ContainsSubstring("overwritten"));
  CHECK(text_of(scratch / "mine.toml") == "kept");
  const Run unknown(scratch / "", {"new", "fan", "-o", "new.toml"});
  CHECK(unknown.end() == 2);
  CHECK_THAT(unknown.err(), ContainsSubstring("allowed block, ring, stack"));
  const Run nowhere(scratch / "", {"new", "ring"});
  CHECK(nowhere.end() == 2);
  CHECK_THAT(nowhere.err(), ContainsSubstring("-o FILE"));
  CHECK(Run(scratch / "", {"new"}).end() == 2);
  CHECK_FALSE(std::filesystem::exists(scratch / "new.toml"));
}

TEST_CASE("Keys command: prints the tables that are asked for", "[new_command]") {
  const Scratch scratch("keys");
  const Run room(scratch / "", {"keys", "room"});
  CHECK(room.end() == 0);
  CHECK_THAT(room.out(), ContainsSubstring("| `margin_mm` | mm | 0 |"));
  CHECK(Run(scratch / "", {"keys", "roof"}).end() == 2);
}
