// What the shells are told: asked of the shells themselves, as a person does with the Tab key.

#include "cases/commands/completion.hpp"
#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

#include <fmt/format.h>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// What bash offers for the last of these words, one a line.
std::string offered(const Scratch& scratch, const std::string& words, int n_words) {
  const Run run = Run::in_shell(
      scratch / "", fmt::format("exec bash --norc -c 'eval \"$(\"$0\" completion bash)\"; "
                                "COMP_WORDS=({}); COMP_CWORD={}; _tiltfin; "
                                "printf \"%s\\n\" \"${{COMPREPLY[@]}}\"' \"$0\"",
                                words, n_words - 1));
  CHECK(run.end() == 0);
  CHECK(run.err().empty());
  return run.out();
}

} // namespace

TEST_CASE("Completion: bash offers commands, options, words that are allowed, and files",
          "[completion]") {
  const Scratch scratch("completion");
  put(scratch / "my case.toml", "");
  CHECK(offered(scratch, "tiltfin so", 2) == "solve\n");
  CHECK(offered(scratch, "tiltfin solve --li", 3) == "--listed-powers-only\n");
  CHECK(offered(scratch, "tiltfin completion \"\"", 3) == "bash\nzsh\n");
  CHECK(offered(scratch, "tiltfin compare out --calibrate d", 5) == "die-to-base\ndepth\n");
  CHECK(offered(scratch, "tiltfin solve my", 3) == "my case.toml\n");
  CHECK(offered(scratch, "tiltfin solve --max-cells my", 4) == "\n"); // a number
  CHECK(offered(scratch, "tiltfin nonsense x", 3) == "\n");
}

TEST_CASE("Completion: every option of every command is in both scripts", "[completion]") {
  const std::string bash = bash_completion(commands());
  const std::string zsh = zsh_completion(commands());
  for (const Command& command : commands()) {
    CAPTURE(command.name);
    CHECK_THAT(bash, ContainsSubstring(fmt::format("\n    {})\n", command.name)));
    CHECK_THAT(zsh, ContainsSubstring(fmt::format("\n  {})\n", command.name)));
    for (const Option& option : command.declare().options) {
      const std::string name = option.name.substr(option.name.rfind(',') + 1);
      CAPTURE(name);
      CHECK_THAT(zsh, ContainsSubstring(name));
      if (name.starts_with("--")) {
        CHECK_THAT(bash, ContainsSubstring(name));
      }
    }
  }
}

TEST_CASE("Completion: zsh can read its script", "[completion]") {
  const Scratch scratch("completion-zsh");
  const Run run = Run::in_shell(scratch / "", "command -v zsh >/dev/null || exit 77; "
                                              "\"$0\" completion zsh >_tiltfin && zsh -n _tiltfin");
  const int code = run.end();
  if (code == 77) {
    WARN("skipped: no zsh here");
  } else {
    CHECK(code == 0);
    CHECK(run.err().empty());
  }
}
