// The command line and the exit codes: 0 fine, 1 cannot write, 2 bad input, 3 a condition did not
// converge, 130 interrupted.

#include "cases/case.hpp"
#include "cases/check.hpp"
#include "cases/commands.hpp"
#include "cases/run.hpp"
#include "cases/terminal.hpp"
#include "mesh/tensor_mesh.hpp"
#include "post/picture.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <functional>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

namespace fs = std::filesystem;
using namespace tiltfin;

struct CheckArguments {
  std::string case_file;
  std::string drawing;
  bool no_drawing = false;
};

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

/// Where the drawing of a section goes: its name enters when there are several.
fs::path drawing_path(const CheckArguments& arguments, bool is_only, std::string name) {
  fs::path path = arguments.drawing;
  if (path.empty()) {
    path = fs::path(arguments.case_file).stem().string() + "-section.svg";
  }
  if (!is_only) {
    if (const std::size_t comma = name.find(", "); comma != std::string::npos) {
      name.replace(comma, 2, "-");
    }
    path.replace_filename(path.stem().string() + "-" + name + path.extension().string());
  }
  return path;
}

int run_check(const CheckArguments& arguments) {
  const Case the_case = read_case(arguments.case_file);
  fmt::print("{}", check_report(the_case, arguments.case_file));
  if (arguments.no_drawing) {
    return fine;
  }
  for (const PanelState& panel : the_case.panels) {
    const std::vector<NamedSection> sections = sections_of(the_case, panel);
    const bool is_only = the_case.panels.size() == 1 && sections.size() == 1;
    for (const NamedSection& named : sections) {
      const fs::path path = drawing_path(arguments, is_only, named.name);
      const TensorMesh mesh = make_mesh(*named.section, the_case.resolution);
      write_text(path, section_svg(*named.section, &mesh, the_case.title + ": " + named.name));
      fmt::print("drawn: {}\n", path.string());
    }
  }
  return fine;
}

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
    if (panel.section.base < 0) {
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
  const std::vector<Outcome> outcomes = run_case(the_case, options, std::ref(printer));
  printer.end();

  const ReportContext context = report_context(the_case);
  const std::vector<TrendRow> trends = make_trends(outcomes, context);
  write_tables(arguments.directory, outcomes, trends, context);
  fmt::print("{}", readable_table(outcomes, trends, context));
  if (interruption.flag()) {
    fmt::print(stderr, "interrupted: {} conditions are finished, --resume goes on\n",
               outcomes.size());
    return interrupted;
  }
  const bool any = std::any_of(outcomes.begin(), outcomes.end(), [](const Outcome& outcome) {
    return outcome.status == name(SolveStatus::not_converged);
  });
  return any ? not_converged : fine;
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
  command.add_option("--weights", options.weights,
                     "How much orientations count together, such as upright=3 flat-up=1 (default: "
                     "all alike)");
  command.add_flag("--skip-stability", options.skip_stability,
                   "Do not examine the best and the drawn layout: steady flows only");
  command.add_option("--first", options.first_layouts, "Layouts that the search starts from")
      ->check(CLI::Range(2, 50))
      ->capture_default_str();
  command.add_option("--jobs", options.jobs, "Threads (default: all cores)")
      ->check(CLI::Range(1, 4096));
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
  command.add_option("--weights", rank.options.weights,
                     "How much orientations count together, such as upright=3 flat-up=1 (default: "
                     "all alike)");
  command.add_flag(
      "--skip-stability", rank.options.skip_stability,
      "A quick look at case files: do not examine whether air leaves the steady flows");
  command.add_option("--jobs", rank.options.jobs, "Threads (default: all cores)")
      ->check(CLI::Range(1, 4096));
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
  add("--die-to-base", logs.die_to_base, "Resistance, K/W, with --at-base")
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
  command.add_option("--jobs", solve.jobs, "Threads, one per chain (default: all cores)")
      ->check(CLI::Range(1, 4096));
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
