// tiltfin report: the page of a results directory.
#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/run/redraw.hpp"
#include "cases/run/report_file.hpp"

#include <fmt/format.h>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace tiltfin {
namespace {

struct ReportCommand {
  std::string directory;
  std::vector<std::string> also;
};

int run_report(const ReportCommand& command) {
  const std::filesystem::path directory = command.directory;
  // Results of a version that drew no sheets, or of a run that was cut short, get them now.
  if (std::filesystem::exists(directory / "summary.json") &&
      std::filesystem::exists(directory / "case.toml") &&
      !std::filesystem::exists(directory / "sheets")) {
    for (const std::string& sentence :
         redraw_pictures(directory, read_case((directory / "case.toml").string()))) {
      print_error(fmt::format("{}\n", sentence));
    }
  }
  print_text(fmt::format("{}\n", write_report(directory, command.also).string()));
  return fine;
}

} // namespace

CommandLine declare_report() {
  const auto report = std::make_shared<ReportCommand>();
  return {{{"directory",
            &report->directory,
            "Directory of results; report.html is written into it",
            {.is_needed = true}},
           {"--also", &report->also,
            "Directories to take from what the first one lacks: levers, ends, a comparison, gaps"}},
          [report] { return run_report(*report); }};
}

} // namespace tiltfin
