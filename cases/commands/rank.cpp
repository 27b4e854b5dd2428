// tiltfin rank: which cooler to take.
#include "cases/choose/rank.hpp"

#include "cases/commands/command.hpp"
#include "cases/commands/common_options.hpp"
#include "cases/commands/telling.hpp"
#include "cases/commands/terminal.hpp"
#include "cases/study/case_shares.hpp"
#include "cases/study/competitors.hpp"
#include "cases/study/variants.hpp"

#include <algorithm>
#include <memory>
#include <span>
#include <utility>

namespace tiltfin {
namespace {

struct RankCommand {
  RankOptions options; ///< all but directory and stop
  std::string directory;
  std::string share;
};

/// Studies among what is to be ranked become their variants.
void take_studies(RankOptions& options) {
  std::erase_if(options.cases, [&](const std::string& path) {
    if (!is_study(path)) {
      return false;
    }
    for (Competitor& variant : competitors_in_study(path)) {
      options.finished.push_back(std::move(variant));
    }
    return true;
  });
}

int run_rank(RankCommand& command) {
  const Interruption interruption;
  command.options.directory = command.directory;
  command.options.stop = &interruption.flag();
  take_studies(command.options);
  if (!command.share.empty()) {
    const Share share = share_in(command.share, "--share");
    const auto choose = [&share](std::span<const Case> cases) {
      return ids_in_share(cases, share);
    };
    if (!solve_part_for_rank(command.options, choose, print_line)) {
      return say_interrupted();
    }
    say_share_is_done(share, command.directory);
    return fine;
  }
  const std::optional<RankReport> report = rank_coolers(command.options, print_line);
  if (!report) {
    return say_interrupted();
  }
  print_text(rank_table(*report));
  const bool any = std::ranges::any_of(report->coolers, [](const RankedCooler& cooler) {
    return std::ranges::any_of(cooler.limits, [](const SolvedLimit& limit) {
      return limit.status == SolveStatus::not_converged || limit.standing == Standing::outside;
    });
  });
  return any ? not_converged : fine;
}

} // namespace

CommandLine declare_rank() {
  const auto rank = std::make_shared<RankCommand>();
  return {
      {{"cases",
        &rank->options.cases,
        "Two or more case files, or directories that a solve has written; of a study, its variants",
        {.is_needed = true}},
       {"-o,--output",
        &rank->directory,
        "Directory for the results; what is finished in it is not solved again",
        {.is_needed = true}},
       weights_option(rank->options.weights),
       {"--skip-stability", &rank->options.skip_stability,
        "A quick look at case files: do not examine whether air leaves the steady flows"},
       {"--listed-powers-only", &rank->options.listed_powers_only,
        "Of case files: solve no powers near the limits beside the listed ones"},
       {"--share", &rank->share,
        "Solve one of N parts of the case files' panel states and orientations, K/N such as "
        "2/4; the same command without it makes one of all"},
       jobs_option(rank->options.jobs, "Threads (default: all cores)")},
      [rank] { return run_rank(*rank); }};
}

} // namespace tiltfin
