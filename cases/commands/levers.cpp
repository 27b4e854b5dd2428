// tiltfin levers: what would help.
#include "cases/choose/levers.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/terminal.hpp"

#include <algorithm>
#include <memory>

namespace tiltfin {
namespace {

struct LeversCommand {
  std::string case_file;
  LeverOptions options; ///< all but directory and stop
  std::string directory;
};

int run_levers(LeversCommand& command) {
  const Case the_case = read_case(command.case_file);
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  const std::optional<LeverReport> report = find_levers(the_case, command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  print_text(lever_table(*report));
  const auto failed = [](const auto& any) {
    return any.status == SolveStatus::not_converged || any.standing == Standing::outside;
  };
  const bool any =
      std::ranges::any_of(report->places, failed) || std::ranges::any_of(report->rows, failed);
  return any ? not_converged : fine;
}

} // namespace

CommandLine declare_levers() {
  const auto levers = std::make_shared<LeversCommand>();
  LeverOptions& options = levers->options;
  return {{{"case", &levers->case_file, "Case file (TOML)", {.is_needed = true}},
           {"-o,--output",
            &levers->directory,
            "Directory for the results; what is finished in it is not solved again",
            {.is_needed = true}},
           {"--from", &options.from,
            "Directory that a solve of the same case has written: the case as it is"},
           {"--only", &options.only,
            "Only panel states and orientations with a condition whose name contains one of these "
            "texts"},
           {"--power-w",
            &options.power_w,
            "Power at which changes are solved (default: the largest)",
            {.bounds = power_above_zero()}},
           jobs_option(options.jobs, "Threads (default: all cores)")},
          [levers] { return run_levers(*levers); }};
}

} // namespace tiltfin
