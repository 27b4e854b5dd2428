// tiltfin bench: logs of soaks to rises, trends and power limits.
#include "cases/bench/bench.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/file/shown.hpp"
#include "post/text/text_file.hpp"

#include <algorithm>
#include <filesystem>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct BenchArguments {
  LogArguments logs;
  std::string directory;
};

int run_bench(const BenchArguments& arguments) {
  const BenchInput input = bench_input(arguments.logs);
  const BenchResult result = reduce_bench(input);
  print_error(bad_row_list(result));
  if (!arguments.directory.empty()) {
    const fs::path directory = arguments.directory;
    fs::create_directories(directory);
    write_text(directory / "bench.csv", bench_csv(result.rows));
    write_text(directory / "bench-trend.csv", bench_trend_csv(result.trends));
    write_text(directory / "bench.json", bench_json(result.rows, result.trends, input.context));
    write_text(directory / "bench.svg", bench_chart(result.rows, result.trends, input.context));
    keep_shown(directory, {"bench.csv", "bench.svg"});
  }
  print_text(bench_table(result.rows, result.trends, input.context));
  const bool any = std::ranges::any_of(
      result.trends, [](const BenchTrend& trend) { return trend.standing == Standing::outside; });
  return any ? not_converged : fine;
}

} // namespace

CommandLine declare_bench() {
  const auto bench = std::make_shared<BenchArguments>();
  CommandLine line{log_options(bench->logs), [bench] { return run_bench(*bench); }};
  line.options.push_back({"-o,--output", &bench->directory, "Directory for tables and chart"});
  return line;
}

} // namespace tiltfin
