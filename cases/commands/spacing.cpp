// tiltfin spacing: the best gap between fins.
#include "cases/choose/spacing.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/telling.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/file/making_limits.hpp"
#include "cases/geometry/block.hpp"
#include "cases/study/case_shares.hpp"

#include <algorithm>
#include <memory>

namespace tiltfin {
namespace {

struct SpacingCommand {
  std::string case_file;
  SpacingOptions options; ///< all but directory and stop
  std::string directory;
  std::string share;
};

int run_spacing(SpacingCommand& command) {
  const Case the_case = read_case(command.case_file);
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  if (!command.share.empty()) {
    const Share share = share_in(command.share, "--share");
    if (!search_spacing_of(the_case, command.options, placings_in_share(the_case, share),
                           print_line)) {
      return say_interrupted();
    }
    say_share_is_done(share, command.directory);
    return fine;
  }
  const std::optional<SpacingReport> report = find_spacing(the_case, command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  print_text(spacing_table(*report));
  const bool any =
      std::any_of(report->points.begin(), report->points.end(), [](const SpacingPoint& point) {
        return point.ranked.status == SolveStatus::not_converged;
      });
  return any || has_best_outside(*report) ? not_converged : fine;
}

} // namespace

CommandLine declare_spacing() {
  const auto spacing = std::make_shared<SpacingCommand>();
  SpacingOptions& options = spacing->options;
  const OptionRule gap{.bounds = bounds_of(spacing_keys(), "min_gap_mm")};
  const OptionRule thickness{.bounds = bounds_of(spacing_keys(), "min_thickness_mm")};
  const OptionRule height{.bounds = bounds_of(block_keys(), "fin_height_mm")};
  return {{{"case",
            &spacing->case_file,
            "Case file (TOML) with [block] or [stack]",
            {.is_needed = true}},
           {"-o,--output",
            &spacing->directory,
            "Directory for the results; what is finished in it is not solved again",
            {.is_needed = true}},
           {"--power-w",
            &options.power_w,
            "Power of the search (default: the largest)",
            {.bounds = power_above_zero()}},
           {"--thickness-mm", &options.thicknesses_mm, "Thicknesses to compare", thickness},
           {"--height-mm", &options.heights_mm, "Heights of fins to compare", height},
           {"--min-gap-mm", &options.min_gap_mm,
            "Smallest gap that can be made (default: of [spacing], else 2)", gap},
           {"--max-gap-mm", &options.max_gap_mm,
            "Widest gap to look at (default: 20, or three times that drawn)", gap},
           {"--min-thickness-mm", &options.min_thickness_mm,
            "Smallest thickness that can be made (default: of [spacing], else 0.8)", thickness},
           weights_option(options.weights),
           {"--skip-stability", &options.skip_stability,
            "Do not examine the best and the drawn layout: steady flows only"},
           {"--first",
            &options.first_layouts,
            "Layouts that the search starts from",
            {.bounds = whole(2, 50), .shows_default = true}},
           {"--share", &spacing->share,
            "Search for one of N parts of the panel states and orientations, K/N such as 2/4; the "
            "same command without it makes one of all"},
           jobs_option(options.jobs, "Threads (default: all cores)")},
          [spacing] { return run_spacing(*spacing); }};
}

} // namespace tiltfin
