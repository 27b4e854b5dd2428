// tiltfin solve: every condition of a case.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/telling.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/run.hpp"
#include "cases/run/tilts.hpp"
#include "cases/study/case_shares.hpp"
#include "post/reports/tilt_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <functional>
#include <memory>
#include <optional>
#include <stdexcept>

namespace tiltfin {
namespace {

struct SolveArguments {
  std::string case_file;
  std::string directory;
  int jobs = 0;
  std::vector<std::string> only;
  std::string share;
  std::string start;
  bool resume = false;
  bool skip_stability = false;
  bool listed_powers_only = false;
  std::string tilts;
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

/// Solves the matrix and prints its tables; the exit code.
int solve_conditions(const Case& the_case, const std::string& case_file,
                     const RunOptions& options) {
  ProgressPrinter printer;
  const auto show_first = [&printer](const CaseResults& first) {
    printer.end();
    print_text(fmt::format(
        "First numbers: steady flows, not yet examined whether real air leaves them\n\n{}\n",
        readable_table(first.outcomes, first.trends, first.context)));
    std::fflush(stdout);
  };
  const CaseResults results = run_case(the_case, options, std::ref(printer), show_first);
  const std::vector<Outcome>& outcomes = results.outcomes;
  printer.end();
  for (const std::string& remark : results.remarks) {
    print_line(remark);
  }
  print_text(readable_table(outcomes, results.trends, results.context));
  for (const std::string& sentence : results.undrawn) {
    print_error(fmt::format("{}\n", sentence));
  }
  if (*options.stop) {
    const auto waiting = std::ranges::count_if(outcomes, [](const Outcome& outcome) {
      return outcome.stability.state == Stability::awaited;
    });
    print_error(
        fmt::format("interrupted: {} conditions are solved{}, --resume goes on\n", outcomes.size(),
                    waiting > 0 ? fmt::format(", {} of them not yet examined", waiting) : ""));
    return interrupted;
  }
  if (!results.trends.empty()) {
    print_text(fmt::format("\nWhat would help: tiltfin levers {} --from {} -o DIRECTORY\n",
                           case_file, options.directory.string()));
  }
  return code_of(results);
}

/// The conditions that are to be solved: those of `--share` by their whole ids.
std::vector<std::string> chosen_by(const SolveArguments& arguments, const Case& the_case) {
  if (arguments.share.empty()) {
    return arguments.only;
  }
  if (!arguments.only.empty()) {
    throw InputError("--share: found --only beside it, allowed one of them");
  }
  if (!arguments.tilts.empty() || !the_case.tilts.angles_deg.empty()) {
    throw InputError("--share: found tilts, allowed none: a sweep is one chain of conditions");
  }
  return ids_in_share(the_case, share_in(arguments.share, "--share"));
}

/// Turns the machine through all angles and prints what comes of it; the exit code.
int solve_tilts(const Case& the_case, const Tilts& tilts, const RunOptions& options) {
  ProgressPrinter printer;
  Remarks remarks;
  const std::optional<TiltReport> report =
      run_tilts(the_case, tilts, options, std::ref(printer), remarks);
  printer.end();
  for (const std::string& remark : remarks.all()) {
    print_line(remark);
  }
  if (!report) {
    print_error("interrupted: the angles that are finished are kept, --resume goes on\n");
    return interrupted;
  }
  print_text(fmt::format("\n{}", tilt_table(*report)));
  const bool any = std::ranges::any_of(
      report->points, [](const TiltPoint& point) { return !is_solved(point.first().status); });
  return any || has_outside(*report) ? not_converged : fine;
}

int run_solve(const SolveArguments& arguments) {
  const Case the_case = read_case(arguments.case_file);
  const Interruption interruption;
  const RunOptions options{.directory = arguments.directory,
                           .jobs = arguments.jobs,
                           .only = chosen_by(arguments, the_case),
                           .only_is_whole = !arguments.share.empty(),
                           .start = arguments.start,
                           .resume = arguments.resume,
                           .examine_stability = !arguments.skip_stability,
                           .adds_powers = !arguments.listed_powers_only,
                           .accuracy = wish_of(arguments, the_case),
                           .stop = &interruption.flag()};
  const Tilts tilts =
      arguments.tilts.empty() ? the_case.tilts : tilts_in(arguments.tilts, "--tilts");
  const bool sweeps = arguments.share.empty() && !tilts.angles_deg.empty() &&
                      chooses_tilts(the_case, tilts, options.only);
  if (sweeps) {
    check_tilts(the_case, tilts, options);
  }
  int code = fine;
  if (!sweeps || chooses_conditions(the_case, options.only)) {
    code = solve_conditions(the_case, arguments.case_file, options);
  }
  if (sweeps && code != interrupted) {
    code = std::max(code, solve_tilts(the_case, tilts, options));
  }
  if (code != interrupted) {
    tell_page(options.directory);
  }
  return code;
}

} // namespace

CommandLine declare_solve() {
  const auto solve = std::make_shared<SolveArguments>();
  return {
      {{"case", &solve->case_file, "Case file (TOML)", {.is_needed = true}},
       {"-o,--output", &solve->directory, "Directory for the results", {.is_needed = true}},
       jobs_option(solve->jobs, "Threads, one per chain (default: all cores)"),
       {"--only", &solve->only,
        "Only conditions whose name contains one of these texts; what is finished of the others "
        "stays"},
       {"--share", &solve->share,
        "Solve one of N parts, K/N such as 2/4, each into a directory of its own; `tiltfin merge` "
        "makes one of all"},
       {"--accuracy", &solve->accuracy,
        "Refine until the estimated error of the base rise is below this, such as 1%"},
       {"--max-cells",
        &solve->max_cells,
        "With --accuracy: no finer mesh than this",
        {.bounds = whole(100, 10000000), .shows_default = true}},
       {"--tilts", &solve->tilts,
        "Turn the machine through these angles too, both ways round: FROM:STEP:TO in degrees such "
        "as 0:15:360, or a list (default: tilts in the case)"},
       {"--start", &solve->start,
        "Look for a second flow: solve each condition from this start too, \"mirrored\", "
        "\"search\" (mirrored, then eight ways of stirred air) or a condition of the same panel "
        "state"},
       {"--resume", &solve->resume, "Keep finished conditions of the directory"},
       {"--skip-stability", &solve->skip_stability,
        "A quick look: report steady flows without examining whether air leaves them"},
       {"--listed-powers-only", &solve->listed_powers_only,
        "Add no powers near the limits to those that the case lists"}},
      [solve] { return run_solve(*solve); }};
}

} // namespace tiltfin
