#include "cases/commands/commands.hpp"

#include "cases/check/check.hpp"
#include "cases/run/run.hpp"
#include "mesh/tensor_mesh.hpp"
#include "post/text/text_file.hpp"
#include "post/views/section_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <functional>
#include <stdexcept>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

void print_line(const std::string& line) {
  fmt::print(stderr, "{}\n", line);
}

int say_interrupted() {
  fmt::print(stderr, "interrupted: what is finished is kept, the same command goes on\n");
  return interrupted;
}

/// Where the drawing of a section goes: its name enters when there are several.
fs::path drawing_path(const CheckArguments& arguments, bool is_only, std::string name) {
  fs::path path = arguments.drawing;
  if (path.empty()) {
    path = fmt::format("{}-section.svg", fs::path(arguments.case_file).stem().string());
  }
  if (!is_only) {
    if (const std::size_t comma = name.find(", "); comma != std::string::npos) {
      name = fmt::format("{}-{}", name.substr(0, comma), name.substr(comma + 2));
    }
    path.replace_filename(
        fmt::format("{}-{}{}", path.stem().string(), name, path.extension().string()));
  }
  return path;
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
    if (panel.sections.front().base < 0) {
      throw InputError(
          fmt::format("--accuracy: found a case without a base ({}, panel {}), allowed "
                      "cases with one: the wish is for the rise of the base",
                      arguments.case_file, panel.name));
    }
  }
  return wish;
}

} // namespace

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
  const auto [outcomes, trends, context] = run_case(the_case, options, std::ref(printer));
  printer.end();
  fmt::print("{}", readable_table(outcomes, trends, context));
  if (interruption.flag()) {
    fmt::print(stderr, "interrupted: {} conditions are finished, --resume goes on\n",
               outcomes.size());
    return interrupted;
  }
  const bool any = std::any_of(outcomes.begin(), outcomes.end(), [](const Outcome& outcome) {
    return outcome.status == SolveStatus::not_converged;
  });
  return any ? not_converged : fine;
}

int run_bench(const BenchArguments& arguments) {
  const BenchInput input = bench_input(arguments.logs);
  const BenchResult result = reduce_bench(input);
  fmt::print(stderr, "{}", bad_row_list(result));
  if (!arguments.directory.empty()) {
    const fs::path directory = arguments.directory;
    fs::create_directories(directory);
    write_text(directory / "bench.csv", bench_csv(result.rows));
    write_text(directory / "bench-trend.csv", bench_trend_csv(result.trends));
    write_text(directory / "bench.json", bench_json(result.rows, result.trends, input.context));
    write_text(directory / "bench.svg", bench_chart(result.rows, result.trends, input.context));
  }
  fmt::print("{}", bench_table(result.rows, result.trends, input.context));
  return fine;
}

int run_compare(const CompareCommand& command) {
  const BenchInput input = bench_input(command.what.logs);
  const BenchResult result = reduce_bench(input);
  const ComparisonReport report = compare_with_bench(command.what, input, result);
  fmt::print(stderr, "{}", bad_row_list(result));
  if (!command.directory.empty()) {
    const fs::path directory = command.directory;
    fs::create_directories(directory);
    write_text(directory / "compare.csv", comparison_csv(report));
    write_text(directory / "compare.json", comparison_json(report));
    write_text(directory / "compare.svg", comparison_chart(report));
  }
  fmt::print("{}", comparison_table(report));
  if (report.is_calibrated && !report.calibration.refusal.empty()) {
    fmt::print(stderr, "tiltfin: --calibrate: refused: {}; the comparison above stands\n",
               report.calibration.refusal);
    return bad_input;
  }
  return fine;
}

int run_spacing(SpacingCommand command) {
  const Case the_case = read_case(command.case_file);
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  const std::optional<SpacingReport> report = find_spacing(the_case, command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  fmt::print("{}", spacing_table(*report));
  const bool any =
      std::any_of(report->points.begin(), report->points.end(), [](const SpacingPoint& point) {
        return point.ranked.status == SolveStatus::not_converged;
      });
  return any ? not_converged : fine;
}

int run_rank(RankCommand command) {
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  const std::optional<RankReport> report = rank_coolers(command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  fmt::print("{}", rank_table(*report));
  const bool any = std::ranges::any_of(report->coolers, [](const RankedCooler& cooler) {
    return std::ranges::any_of(cooler.limits, [](const SolvedLimit& limit) {
      return limit.status == SolveStatus::not_converged;
    });
  });
  return any ? not_converged : fine;
}

} // namespace tiltfin
