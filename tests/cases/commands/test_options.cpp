// Every option of every command: what it refuses, and how.

#include "cases/commands/command.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <fmt/format.h>

#include <string>
#include <variant>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

std::string called(const Option& option) {
  return option.name.substr(option.name.rfind(',') + 1);
}

template <class... Targets>
bool goes_into(const Option& option) {
  return (std::holds_alternative<Targets>(option.target) || ...);
}

bool takes_numbers(const Option& option) {
  return goes_into<int*, double*, std::optional<double>*, std::vector<double>*>(option);
}

/// Words that no number of these bounds is.
std::vector<std::string> wrong_words(const Bounds& bounds) {
  std::vector<std::string> words{"nan", "inf", "-inf", "0x10", "1e400", "1,5", "1 2", "a", "--"};
  words.pop_back(); // "--" ends options
  const double step = 0.001 * std::max(1.0, std::abs(bounds.low));
  words.push_back(fmt::format("{:.17g}", bounds.low - step));
  words.push_back(fmt::format("{:.17g}", 2.0 * bounds.high + 1.0));
  if (bounds.is_whole) {
    words.insert(words.end(), {"2.5", "1e3", fmt::format("{}", bounds.low - 1.0)});
  }
  return words;
}

} // namespace

TEST_CASE("Options: every number out of its range is refused by name, found and allowed",
          "[options][slow]") {
  const Scratch scratch("numbers");
  int n_tried = 0;
  for (const Command& command : commands()) {
    for (const Option& option : command.declare().options) {
      if (!takes_numbers(option)) {
        continue;
      }
      REQUIRE(option.rule.bounds);
      for (const std::string& word : wrong_words(*option.rule.bounds)) {
        CAPTURE(command.name, option.name, word);
        const Run run(scratch / "", {command.name, called(option) + "=" + word});
        CHECK(run.end() == 2);
        CHECK_THAT(run.err(),
                   ContainsSubstring(called(option) + ": found '" + word + "', allowed"));
        CHECK(run.out().empty());
        ++n_tried;
      }
      const Run empty(scratch / "", {command.name, called(option), ""});
      CHECK(empty.end() == 2);
      CHECK_THAT(empty.err(), ContainsSubstring(called(option) + ": found '', allowed"));
    }
  }
  CHECK(n_tried > 150); // fifteen options and more
}

TEST_CASE("Options: an option given twice, without a value or with a word of no meaning",
          "[options][slow]") {
  const Scratch scratch("twice");
  for (const Command& command : commands()) {
    for (const Option& option : command.declare().options) {
      if (goes_into<bool*>(option) || !option.name.starts_with('-')) {
        continue;
      }
      CAPTURE(command.name, option.name);
      const std::string name = called(option);
      const Run bare(scratch / "", {command.name, name});
      CHECK(bare.end() == 2);
      CHECK_THAT(bare.err(), ContainsSubstring(name + ": found no value, allowed"));
      if (!option.rule.members.empty()) {
        const Run odd(scratch / "", {command.name, name, "parsec"});
        CHECK(odd.end() == 2);
        CHECK_THAT(odd.err(), ContainsSubstring(name + ": found 'parsec', allowed " +
                                                option.rule.members.front()));
      }
      if (goes_into<std::vector<std::string>*, std::vector<double>*>(option)) {
        continue;
      }
      std::string word = option.rule.members.empty() ? "x" : option.rule.members.front();
      if (option.rule.bounds) {
        word = fmt::format("{}", option.rule.bounds->high);
      }
      const Run twice(scratch / "", {command.name, name, word, name, word});
      CHECK(twice.end() == 2);
      CHECK_THAT(twice.err(), ContainsSubstring(name + ": found 2 values, allowed one, once"));
    }
  }
}

TEST_CASE("Options: what is missing, unknown or of another command is said in the same form",
          "[options]") {
  const Scratch scratch("unknown");
  put(scratch / "tiny.toml", tiny_case_text("[0.1, 0.2]", R"(["upright"])"));
  struct Refused {
    std::vector<std::string> words;
    std::string said;
  };
  const std::vector<std::string> solve{"solve", "tiny.toml", "-o", "out"};
  const auto with = [&](const std::string& option, const std::string& word) {
    std::vector<std::string> words = solve;
    words.insert(words.end(), {option, word});
    return words;
  };
  for (const Refused& refused : std::vector<Refused>{
           {{}, "found no command, allowed new, check"},
           {{"solve"}, ": found nothing, allowed a text that is not empty"},
           {{"solve", "tiny.toml"}, "--output: found nothing, allowed"},
           {with("--bogus", "3"), "solve: found '--bogus"},
           {with("more", "words"), "solve: found '"},
           {with("--tilts", "-400:10:0"), "--tilts: found \"-400:10:0\", with -400 degrees"},
           {with("--tilts", "0:0.5:360"), "--tilts: found \"0:0.5:360\", which is 721 angles"},
           {with("--tilts", "0:nan:9"), "--tilts: found \"0:nan:9\", allowed FROM:STEP:TO"},
           {with("--tilts", "5"), "--tilts: found \"5\", which is 1 angle, allowed"},
           {with("--start", "nowhere"), "--start: found 'nowhere', allowed mirrored, search or"},
           {with("--start", "as-drawn_upright_9w"),
            "--start: found 'as-drawn_upright_9w', allowed"},
           {with("--only", "nowhere"), "--only: found 'nowhere', which is in no condition's name"},
           {with("--accuracy", "nan%"), "--accuracy: found nan%, allowed a percentage"},
           {{"bench", "a.csv", "--temperature", "T", "--ambient-c", "20", "--power-w", "9",
             "--orientation", "720"},
            "--orientation: found '720', allowed upright"},
       }) {
    CAPTURE(refused.words);
    const Run run(scratch / "", refused.words);
    CHECK(run.end() == 2);
    CHECK_THAT(run.err(), ContainsSubstring(refused.said));
    CHECK_FALSE(std::filesystem::exists(scratch / "out"));
  }
}
