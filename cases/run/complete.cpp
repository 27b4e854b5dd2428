#include "cases/run/complete.hpp"

#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"

#include <filesystem>
#include <optional>
#include <utility>

namespace tiltfin {

void put_on_disk(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                 const Solution& reported) {
  const std::filesystem::path& directory = run.options.directory;
  if (directory.empty()) {
    return;
  }
  if (run.options.keep_states) {
    write_restart(state_file(directory, condition.id), reported);
  }
  write_condition(directory, condition.id, *chain.section, reported, *condition.outcome);
}

bool complete(const RunContext& run, const Chain& chain, ChainCondition& condition, Solution base,
              const OtherStart* other) {
  const Solved solved = refine_condition(run, chain, condition, std::move(base));
  if (solved.reported().report.status == SolveStatus::stopped) {
    return false;
  }
  std::optional<Outcome> outcome = outcome_with_second(run, chain, condition, solved, other);
  if (!outcome) {
    return false;
  }
  condition.outcome = std::move(outcome);
  put_on_disk(run, chain, condition, solved.reported());
  return true;
}

} // namespace tiltfin
