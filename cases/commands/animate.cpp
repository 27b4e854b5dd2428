// tiltfin animate: how the air of a solved case moves in time.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/run/animations.hpp"
#include "cases/run/redraw.hpp"
#include "cases/run/results.hpp"

#include <fmt/format.h>

#include <memory>

namespace tiltfin {
namespace {

struct AnimateCommand {
  std::string directory;
  std::vector<std::string> only;
};

int run_animate(const AnimateCommand& command) {
  const Case the_case = case_of_results(command.directory, command.directory);
  const auto [outcomes, refused] = outcomes_on_disk(command.directory, the_case);
  if (!refused.empty()) { // which are chosen depends on all of them
    throw InputError(refused.front());
  }
  const std::vector<ChosenRecording> chosen = choose_recordings(outcomes, command.only);
  if (chosen.empty()) {
    throw InputError(fmt::format("{}: found no solved condition, allowed results of `tiltfin "
                                 "solve`",
                                 command.directory));
  }
  const Interruption interruption;
  bool is_whole = true;
  for (const ChosenRecording& recording : chosen) {
    const std::optional<Animated> animated =
        write_animation(command.directory, the_case, recording, &interruption.flag(), [] {});
    if (interruption.flag()) {
      return say_interrupted();
    }
    if (animated) {
      print_text(fmt::format("{}: {} pictures\n", animated->svg.string(), animated->frames));
    }
    is_whole = is_whole && animated && animated->status == SolveStatus::converged;
  }
  return is_whole ? fine : not_converged;
}

} // namespace

CommandLine declare_animate() {
  const auto animate = std::make_shared<AnimateCommand>();
  return {
      {{"results", &animate->directory, "Directory that a solve has written", {.is_needed = true}},
       {"--only", &animate->only,
        "Only conditions whose name contains one of these texts (default: starts from cold of "
        "the best and the worst orientation at the largest power, and the air that sways "
        "most)"}},
      [animate] { return run_animate(*animate); }};
}

} // namespace tiltfin
