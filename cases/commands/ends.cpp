// tiltfin ends: what air through the ends of a bundle would bring to a machine lying flat.
#include "cases/choose/ends.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/terminal.hpp"

#include <algorithm>
#include <memory>

namespace tiltfin {
namespace {

struct EndsCommand {
  std::string case_file;
  EndsOptions options; ///< all but directory and stop
  std::string directory;
};

int run_ends(EndsCommand& command) {
  const Case the_case = read_case(command.case_file);
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  const std::optional<EndsReport> report = find_ends(the_case, command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  print_text(ends_table(*report));
  const bool any = std::ranges::any_of(report->rows, [](const EndsRow& row) {
    return row.status == SolveStatus::not_converged || row.standing == Standing::outside;
  });
  return any ? not_converged : fine;
}

} // namespace

CommandLine declare_ends() {
  const auto ends = std::make_shared<EndsCommand>();
  EndsOptions& options = ends->options;
  return {{{"case", &ends->case_file, "Case file (TOML)", {.is_needed = true}},
           {"-o,--output",
            &ends->directory,
            "Directory for the results; what is finished in it is not solved again",
            {.is_needed = true}},
           {"--from", &options.from,
            "Directory that a solve of the same case has written: the case as it is"},
           {"--only", &options.only,
            "Only panel states and orientations with a condition whose name contains one of these "
            "texts"},
           {"--skip-stability", &options.skip_stability,
            "Take steady flows without examining their stability: a quick look"},
           jobs_option(options.jobs, "Threads (default: all cores)")},
          [ends] { return run_ends(*ends); }};
}

} // namespace tiltfin
