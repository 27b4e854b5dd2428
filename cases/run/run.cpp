#include "cases/run/run.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/parallel.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "cases/run/second_flow.hpp"
#include "cases/run/solve_condition.hpp"
#include "cases/run/warm_start.hpp"
#include "mesh/index.hpp"

#include <limits>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

void keep_finished(std::vector<Chain>& chains, const RunOptions& options) {
  for (Chain& chain : chains) {
    for (ChainCondition& condition : chain.conditions) {
      std::optional<Outcome>& outcome = condition.outcome;
      outcome = finished_outcome(options.directory, condition.id);
      const bool is_skipped = outcome && outcome->stability.state == Stability::skipped;
      if (is_skipped && condition.chosen && options.examine_stability) {
        outcome.reset();
      }
    }
  }
}

/// Puts a solved condition on disk; the solution it started from has served.
void finish(const RunContext& run, const Chain& chain, const ChainCondition& condition,
            const Solved& solved, const ChainCondition* before) {
  const std::filesystem::path& directory = run.options.directory;
  if (!directory.empty()) {
    if (run.options.keep_states) {
      write_restart(state_file(directory, condition.id), solved.reported());
    }
    write_condition(directory, condition.id, *chain.section, solved.reported(), solved.base,
                    *condition.outcome);
  }
  drop_restart(run.options, before);
  run.monitor.finished(condition.id, solved.reported().report);
}

/// Solves what is chosen and not finished; `outcome` is set where there is a result.
void solve_chain(const RunContext& run, Chain& chain, const OtherStart* other,
                 const std::atomic<bool>& failed) {
  const RunOptions& options = run.options;
  const ChainCondition* before = nullptr; // the last one with an outcome
  std::optional<Solution> previous;       // its solution, when it converged and is at hand
  for (ChainCondition& condition : chain.conditions) {
    if (condition.outcome) { // kept from an earlier run
      before = &condition;
      previous.reset();
      continue;
    }
    if (!condition.chosen) {
      continue;
    }
    if (failed || (options.stop != nullptr && *options.stop)) {
      return;
    }
    previous = start_of(run.the_case, options, chain, before, condition, std::move(previous));
    Solved solved = solve_condition(run, chain, condition, previous ? &*previous : nullptr);
    if (solved.reported().report.status == SolveStatus::stopped) {
      return;
    }
    condition.outcome = outcome_with_second(run, chain, condition, solved, other);
    if (!condition.outcome) {
      return;
    }
    finish(run, chain, condition, solved, before);
    before = &condition;
    previous.reset();
    if (solved.base.report.status == SolveStatus::converged) {
      previous = std::move(solved.base);
    }
  }
}

} // namespace

CaseResults run_case(const Case& the_case, const RunOptions& options,
                     const std::function<void(const Progress&)>& progress) {
  std::vector<Chain> chains = make_chains(the_case, options.only, options.only_is_whole);
  check_orientations(the_case, chains);
  check_start(options, chains);
  if (!options.directory.empty()) {
    claim_directory(options.directory, the_case, options.resume);
    if (options.resume) {
      keep_finished(chains, options);
    }
  }

  Monitor monitor(n_unsolved(chains), progress);
  const RunContext run{the_case, options, monitor};
  const std::optional<OtherStart> other = solve_start(run, chains);
  const int n_chains = static_cast<int>(chains.size());
  constexpr int any_number = std::numeric_limits<int>::max(); // the solver shares its work as well
  for_each_in_parallel(n_chains, threads_for(options.jobs, any_number),
                       [&](int k, const std::atomic<bool>& failed) {
                         solve_chain(run, chains[index(k)], other ? &*other : nullptr, failed);
                       });

  std::vector<Outcome> outcomes;
  for (Chain& chain : chains) {
    for (ChainCondition& condition : chain.conditions) {
      if (condition.outcome) {
        outcomes.push_back(std::move(*condition.outcome));
      }
    }
  }
  CaseResults results = results_of(the_case, std::move(outcomes));
  if (!options.directory.empty()) {
    write_tables(options.directory, results.outcomes, results.trends, results.context);
  }
  return results;
}

CaseResults results_of(const Case& the_case, std::vector<Outcome> outcomes) {
  CaseResults results{std::move(outcomes), {}, report_context(the_case)};
  results.trends = make_trends(results.outcomes, results.context);
  return results;
}

ReportContext report_context(const Case& the_case) {
  return {.title = the_case.title, .core = core_limit(the_case), .notes = the_case.notes};
}

} // namespace tiltfin
