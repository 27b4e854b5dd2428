// tiltfin compare: solved conditions against logs.
#include "cases/bench/compare.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "post/text/text_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <memory>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

struct CompareCommand {
  CompareArguments what;
  std::string directory;
};

int run_compare(const CompareCommand& command) {
  const BenchInput input = bench_input(command.what.logs);
  const BenchResult result = reduce_bench(input);
  const ComparisonReport report = compare_with_bench(command.what, input, result);
  print_error(bad_row_list(result));
  if (!command.directory.empty()) {
    const fs::path directory = command.directory;
    fs::create_directories(directory);
    write_text(directory / "compare.csv", comparison_csv(report));
    write_stored_json(directory / "compare.json", comparison_json(report),
                      crc32_of_case_in(command.what.results));
    write_text(directory / "compare.svg", comparison_chart(report));
    write_text(directory / "compare-soaks.csv", soak_length_csv(report));
    write_text(directory / "warm-up.svg", warm_up_chart(report));
    keep_shown(directory, {"compare.csv", "compare.svg", "compare-soaks.csv", "warm-up.svg"});
  }
  print_text(comparison_table(report));
  if (report.is_calibrated && !report.calibration.refusal.empty()) {
    print_error(fmt::format("tiltfin: --calibrate: refused: {}; the comparison above stands\n",
                            report.calibration.refusal));
    return bad_input;
  }
  return report.outside.empty() ? fine : not_converged;
}

} // namespace

CommandLine declare_compare() {
  const auto compare = std::make_shared<CompareCommand>();
  CommandLine line{log_options(compare->what.logs), [compare] { return run_compare(*compare); }};
  line.options.insert(line.options.begin(), {"results",
                                             &compare->what.results,
                                             "Directory that a solve has written",
                                             {.is_needed = true}});
  line.options.push_back({"--calibrate",
                          &compare->what.unknowns,
                          "One or two unknowns to estimate",
                          {.members = {"die-to-base", "heat-share", "depth"}}});
  line.options.push_back(
      {"--using", &compare->what.use, "Only from these orientations; the others are predicted"});
  line.options.push_back({"-o,--output", &compare->directory, "Directory for tables and chart"});
  return line;
}

} // namespace tiltfin
