#include "cases/commands.hpp"

#include "post/picture.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>

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

} // namespace

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
        return point.status == name(SolveStatus::not_converged);
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
    return std::ranges::any_of(cooler.limits, [](const RankLimit& limit) {
      return limit.status == name(SolveStatus::not_converged);
    });
  });
  return any ? not_converged : fine;
}

} // namespace tiltfin
