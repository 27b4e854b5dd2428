// tiltfin solve: every condition of a case.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/run/run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <functional>
#include <memory>
#include <stdexcept>

namespace tiltfin {
namespace {

struct SolveArguments {
  std::string case_file;
  std::string directory;
  int jobs = 0;
  std::vector<std::string> only;
  std::string start;
  bool resume = false;
  bool skip_stability = false;
  std::string accuracy;
  int max_cells = AccuracyWish{}.max_cells;
};

AccuracyWish wish_of(const SolveArguments& arguments, const Case& the_case) {
  AccuracyWish wish{.relative = 0.0, .max_cells = arguments.max_cells};
  if (arguments.accuracy.empty()) {
    return wish;
  }
  try {
    wish.relative = parse_percent(arguments.accuracy);
  } catch (const std::invalid_argument& error) {
    throw InputError(fmt::format("--accuracy: {}", error.what()));
  }
  for (const PanelState& panel : the_case.panels) {
    if (panel.sections.front().base < 0) {
      throw InputError(
          fmt::format("--accuracy: found a case without a base ({}, panel {}), allowed "
                      "cases with one: the wish is for the rise of the base",
                      arguments.case_file, panel.name));
    }
  }
  return wish;
}

int run_solve(const SolveArguments& arguments) {
  const Case the_case = read_case(arguments.case_file);
  const Interruption interruption;
  const RunOptions options{.directory = arguments.directory,
                           .jobs = arguments.jobs,
                           .only = arguments.only,
                           .start = arguments.start,
                           .resume = arguments.resume,
                           .examine_stability = !arguments.skip_stability,
                           .accuracy = wish_of(arguments, the_case),
                           .stop = &interruption.flag()};
  ProgressPrinter printer;
  const auto show_first = [&printer](const CaseResults& first) {
    printer.end();
    fmt::print("First numbers: steady flows, not yet examined whether real air leaves them\n\n{}\n",
               readable_table(first.outcomes, first.trends, first.context));
    std::fflush(stdout);
  };
  const auto [outcomes, trends, context] =
      run_case(the_case, options, std::ref(printer), show_first);
  printer.end();
  fmt::print("{}", readable_table(outcomes, trends, context));
  if (interruption.flag()) {
    const auto waiting = std::ranges::count_if(outcomes, [](const Outcome& outcome) {
      return outcome.stability.state == Stability::awaited;
    });
    fmt::print(stderr, "interrupted: {} conditions are solved{}, --resume goes on\n",
               outcomes.size(),
               waiting > 0 ? fmt::format(", {} of them not yet examined", waiting) : "");
    return interrupted;
  }
  if (!trends.empty()) {
    fmt::print("\nWhat would help: tiltfin levers {} --from {} -o DIRECTORY\n", arguments.case_file,
               arguments.directory);
  }
  const bool any = std::any_of(outcomes.begin(), outcomes.end(), [](const Outcome& outcome) {
    return outcome.status == SolveStatus::not_converged;
  });
  return any ? not_converged : fine;
}

} // namespace

CommandLine declare_solve() {
  const auto solve = std::make_shared<SolveArguments>();
  return {
      {{"case", &solve->case_file, "Case file (TOML)", {.is_needed = true}},
       {"-o,--output", &solve->directory, "Directory for the results", {.is_needed = true}},
       jobs_option(solve->jobs, "Threads, one per chain (default: all cores)"),
       {"--only", &solve->only, "Only conditions whose name contains one of these texts"},
       {"--accuracy", &solve->accuracy,
        "Refine until the estimated error of the base rise is below this, such as 1%"},
       {"--max-cells",
        &solve->max_cells,
        "With --accuracy: no finer mesh than this",
        {.range = {{100, 10000000}}, .shows_default = true}},
       {"--start", &solve->start,
        "Look for a second flow: solve each condition from this start too, \"mirrored\", "
        "\"search\" (mirrored, then eight ways of stirred air) or a condition of the same panel "
        "state"},
       {"--resume", &solve->resume, "Keep finished conditions of the directory"},
       {"--skip-stability", &solve->skip_stability,
        "A quick look: report steady flows without examining whether air leaves them"}},
      [solve] { return run_solve(*solve); }};
}

} // namespace tiltfin
