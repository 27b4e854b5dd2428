// tiltfin report: the page of a results directory.
#include "cases/commands/command.hpp"
#include "cases/run/report_file.hpp"

#include <fmt/format.h>

#include <memory>

namespace tiltfin {
namespace {

struct ReportCommand {
  std::string directory;
  std::vector<std::string> also;
};

} // namespace

CommandLine declare_report() {
  const auto report = std::make_shared<ReportCommand>();
  return {{{"directory",
            &report->directory,
            "Directory of results; report.html is written into it",
            {.is_needed = true}},
           {"--also", &report->also,
            "Directories to take from what the first one lacks: levers, a comparison, gaps"}},
          [report]() -> int {
            fmt::print("{}\n", write_report(report->directory, report->also).string());
            return fine;
          }};
}

} // namespace tiltfin
