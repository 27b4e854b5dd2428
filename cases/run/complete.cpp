#include "cases/run/complete.hpp"

#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "post/reports/outcome_columns.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>

namespace tiltfin {
namespace {

/// The row of a power that the tables of air do not reach: no number but its power.
Outcome outcome_beyond(const Chain& chain, const ChainCondition& condition,
                       const std::string& why) {
  Outcome outcome;
  visit_members(outcome, [](const char*, auto& value, In = In::both) {
    if constexpr (std::is_same_v<std::decay_t<decltype(value)>, double>) {
      value = nan;
    }
  });
  outcome.panel = chain.panel->name;
  outcome.finish = chain.panel->finish;
  outcome.orientation = chain.orientation->name;
  outcome.power_w = condition.power;
  outcome.origin =
      condition.is_added ? PowerOrigin::beyond_range : PowerOrigin::listed_beyond_range;
  outcome.warnings.push_back("beyond the model's range, no result: " + why);
  return outcome;
}

} // namespace

void put_on_disk(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                 const Solution& reported) {
  const std::filesystem::path& directory = run.options.directory;
  if (directory.empty()) {
    return;
  }
  if (run.options.keep_states) {
    write_restart(state_file(directory, condition.id), run.the_case, reported);
  }
  write_condition(directory, run.the_case, condition.id, *chain.section, reported,
                  *condition.outcome);
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

bool or_beyond_range(const RunContext& run, const Chain& chain, ChainCondition& condition,
                     const std::function<bool()>& work) {
  try {
    return work();
  } catch (const BeyondRange& beyond) {
    condition.outcome = outcome_beyond(chain, condition, beyond.why);
  }
  const std::filesystem::path& directory = run.options.directory;
  if (!directory.empty()) { // nor is there a flow to go on from, or to look at
    std::filesystem::remove(restart_file(directory, condition.id));
    std::filesystem::remove(directory / "fields" / (condition.id + ".vtr"));
    std::filesystem::remove(directory / "pictures" / (condition.id + ".svg"));
    write_outcome(directory, run.the_case, condition.id, *condition.outcome);
  }
  run.monitor.finished(condition.id, {});
  return true;
}

} // namespace tiltfin
