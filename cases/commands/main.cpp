// The command line and the exit codes: 0 fine, 1 cannot write, 2 bad input, 3 a condition did not
// converge, 130 interrupted.

#include "cases/commands/commands.hpp"
#include "cases/file/case.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <cstdio>
#include <exception>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

using namespace tiltfin;

void add_weights_option(CLI::App& command, std::vector<std::string>& weights) {
  command.add_option("--weights", weights,
                     "How much orientations count together, such as upright=3 flat-up=1 (default: "
                     "all alike)");
}

void add_jobs_option(CLI::App& command, int& jobs, const char* help) {
  command.add_option("--jobs", jobs, help)->check(CLI::Range(1, 4096));
}

void add_spacing_options(CLI::App& command, SpacingCommand& spacing) {
  SpacingOptions& options = spacing.options;
  command.add_option("case", spacing.case_file, "Case file (TOML) with [block] or [stack]")
      ->required();
  command
      .add_option("-o,--output", spacing.directory,
                  "Directory for the results; what is finished "
                  "in it is not solved again")
      ->required();
  const CLI::Range length(0.01, 1000.0);
  command.add_option("--power-w", options.power_w, "Power of the search (default: the largest)")
      ->check(CLI::Range(1e-6, 1e6));
  command.add_option("--thickness-mm", options.thicknesses_mm, "Thicknesses to compare")
      ->check(length);
  command.add_option("--height-mm", options.heights_mm, "Heights of fins to compare")
      ->check(length);
  command
      .add_option("--min-gap-mm", options.min_gap_mm,
                  "Smallest gap that can be made (default: of [spacing], else 2)")
      ->check(length);
  command
      .add_option("--max-gap-mm", options.max_gap_mm,
                  "Widest gap to look at (default: 20, or three times that drawn)")
      ->check(length);
  command
      .add_option("--min-thickness-mm", options.min_thickness_mm,
                  "Smallest thickness that can be made (default: of [spacing], else 0.8)")
      ->check(length);
  add_weights_option(command, options.weights);
  command.add_flag("--skip-stability", options.skip_stability,
                   "Do not examine the best and the drawn layout: steady flows only");
  command.add_option("--first", options.first_layouts, "Layouts that the search starts from")
      ->check(CLI::Range(2, 50))
      ->capture_default_str();
  add_jobs_option(command, options.jobs, "Threads (default: all cores)");
}

void add_rank_options(CLI::App& command, RankCommand& rank) {
  command
      .add_option("cases", rank.options.cases,
                  "Two or more case files, or directories that a solve has written")
      ->required();
  command
      .add_option("-o,--output", rank.directory,
                  "Directory for the results; what is finished in it is not solved again")
      ->required();
  add_weights_option(command, rank.options.weights);
  command.add_flag(
      "--skip-stability", rank.options.skip_stability,
      "A quick look at case files: do not examine whether air leaves the steady flows");
  add_jobs_option(command, rank.options.jobs, "Threads (default: all cores)");
}

void add_log_options(CLI::App& command, LogArguments& logs) {
  command.add_option("logs", logs.logs, "A case file (TOML) with [bench], or logs (CSV)")
      ->required();
  const auto add = [&](const char* name, auto& value, const char* help) {
    return command.add_option(name, value, help)->group("Logs without a case file");
  };
  add("--time", logs.time, "Column of the time, or of date and time (default: 1)")->expected(1, 2);
  add("--time-unit", logs.time_unit, "Default: as the log shows")
      ->check(CLI::IsMember({"s", "min", "h", "ms", "stamp"}));
  add("--temperature", logs.temperatures, "Columns of the core's temperatures, degrees Celsius");
  command.add_flag("--hottest", logs.hottest, "Take the hottest of them, not their mean")
      ->group("Logs without a case file");
  command.add_flag("--at-base", logs.is_at_base, "The base was measured, not the core")
      ->group("Logs without a case file");
  add("--ambient", logs.ambient, "Column of the room's temperature");
  add("--ambient-file", logs.ambient_file, "Second log that holds it");
  add("--ambient-time", logs.ambient_time, "Its column of the time (default: 1)")->expected(1, 2);
  add("--ambient-c", logs.ambient_c, "The room's temperature, if constant")
      ->check(CLI::Range(-60.0, 300.0));
  add("--power", logs.power, "Column of the power, W");
  add("--power-w", logs.powers_w, "Power, one for all logs or one each");
  add("--orientation", logs.orientations,
      "Orientation, one for all logs or one each (default: upright)");
  add("--panel", logs.panels, "Panel state, one for all logs or one each");
  add("--room-c", logs.room_c, "Room for the power limit (default: 25)");
  add("--limit-c", logs.limit_c, "Limit of the core (default: 100)");
  add("--die-to-base", logs.core_to_base_k_per_w, "Resistance, K/W, with --at-base")
      ->check(CLI::NonNegativeNumber);
  command.add_flag("--line", logs.fits_line, "Fit a straight line instead of a power law");
}

void add_check_options(CLI::App& command, CheckArguments& check) {
  command.add_option("case", check.case_file, "Case file (TOML)")->required();
  command.add_option("--svg", check.drawing,
                     "Where to draw the section (default: <case>-section.svg here)");
  command.add_flag("--no-svg", check.no_drawing, "Draw nothing");
}

void add_solve_options(CLI::App& command, SolveArguments& solve) {
  command.add_option("case", solve.case_file, "Case file (TOML)")->required();
  command.add_option("-o,--output", solve.directory, "Directory for the results")->required();
  add_jobs_option(command, solve.jobs, "Threads, one per chain (default: all cores)");
  command.add_option("--only", solve.only,
                     "Only conditions whose name contains one of these texts");
  command.add_option("--accuracy", solve.accuracy,
                     "Refine until the estimated error of the base rise is below this, "
                     "such as 1%");
  command.add_option("--max-cells", solve.max_cells, "With --accuracy: no finer mesh than this")
      ->check(CLI::Range(100, 10000000))
      ->capture_default_str();
  command.add_option("--start", solve.start,
                     "Look for a second flow: solve each condition from this start too, "
                     "\"mirrored\", \"search\" (mirrored, then eight ways of stirred air) or a "
                     "condition of the same panel state");
  command.add_flag("--resume", solve.resume, "Keep finished conditions of the directory");
  command.add_flag("--skip-stability", solve.skip_stability,
                   "A quick look: report steady flows without examining whether air leaves them");
}

void add_compare_options(CLI::App& command, CompareCommand& compare) {
  command.add_option("results", compare.what.results, "Directory that a solve has written")
      ->required();
  add_log_options(command, compare.what.logs);
  command.add_option("--calibrate", compare.what.unknowns, "One or two unknowns to estimate")
      ->check(CLI::IsMember({"die-to-base", "heat-share", "depth"}));
  command.add_option("--using", compare.what.use,
                     "Only from these orientations; the others are predicted");
  command.add_option("-o,--output", compare.directory, "Directory for tables and chart");
}

int run(int argc, char** argv) {
  CLI::App app("How well a finned, fanless cooler works when the machine is turned.", "tiltfin");
  app.set_version_flag("--version", "tiltfin " TILTFIN_VERSION);
  app.require_subcommand(1);

  CheckArguments check;
  CLI::App* check_command = app.add_subcommand("check", "Say what a case comes to; solve nothing");
  add_check_options(*check_command, check);

  SolveArguments solve;
  CLI::App* solve_command = app.add_subcommand("solve", "Solve every condition of a case");
  add_solve_options(*solve_command, solve);

  BenchArguments bench;
  CLI::App* bench_command =
      app.add_subcommand("bench", "Reduce logs of soaks to rises, trends and power limits");
  add_log_options(*bench_command, bench.logs);
  bench_command->add_option("-o,--output", bench.directory, "Directory for tables and chart");

  CompareCommand compare;
  CLI::App* compare_command =
      app.add_subcommand("compare", "Compare solved conditions with logs, calibrate on request");
  add_compare_options(*compare_command, compare);

  RankCommand rank;
  CLI::App* rank_command = app.add_subcommand(
      "rank", "Compare several coolers in the same conditions: power limits, metal, which to take");
  add_rank_options(*rank_command, rank);

  SpacingCommand spacing;
  CLI::App* spacing_command = app.add_subcommand(
      "spacing", "Find the best gap between fins at fixed outer size, in every orientation");
  add_spacing_options(*spacing_command, spacing);

  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (app.get_subcommands().empty() && !app.remaining().empty()) {
      fmt::print(stderr,
                 "tiltfin: found {}, allowed check, solve, spacing, rank, bench, compare, "
                 "--version, --help\n",
                 app.remaining().front());
      return bad_input;
    }
    return app.exit(error) == 0 ? fine : bad_input;
  }
  if (bench_command->parsed()) {
    return run_bench(bench);
  }
  if (compare_command->parsed()) {
    return run_compare(compare);
  }
  if (spacing_command->parsed()) {
    return run_spacing(spacing);
  }
  if (rank_command->parsed()) {
    return run_rank(rank);
  }
  return check_command->parsed() ? run_check(check) : run_solve(solve);
}

int complain(const std::exception& error, ExitCode code) {
  std::fputs("tiltfin: ", stderr);
  std::fputs(error.what(), stderr);
  std::fputs("\n", stderr);
  return code;
}

} // namespace

int main(int argc, char** argv) {
  try {
    return run(argc, argv);
  } catch (const tiltfin::InputError& error) {
    return complain(error, bad_input);
  } catch (const std::logic_error& error) { // a section or an air temperature that cannot be
    return complain(error, bad_input);
  } catch (const std::exception& error) {
    return complain(error, cannot_write);
  }
}
