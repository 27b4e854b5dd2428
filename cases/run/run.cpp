#include "cases/run/run.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/run/chains.hpp"
#include "cases/run/complete.hpp"
#include "cases/run/limit_search.hpp"
#include "cases/run/parallel.hpp"
#include "cases/run/pictures.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "cases/run/second_flow.hpp"
#include "cases/run/solve_condition.hpp"
#include "cases/run/warm_start.hpp"
#include "mesh/index.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

/// What an earlier run left of a listed condition. One that was added then and is listed now is as
/// good as one whose examination was skipped.
std::optional<Outcome> kept_outcome(const Case& the_case, const RunOptions& options,
                                    const ChainCondition& condition, Remarks& remarks) {
  std::optional<Outcome> outcome =
      outcome_or_remark(options.directory, the_case, condition.id, remarks,
                        condition.chosen ? "solved again" : "left out of the tables");
  if (outcome && condition.chosen) {
    const std::string fault = fault_of_fields(options.directory, the_case, condition.id);
    if (!fault.empty()) {
      remarks.add(fault + ": solved again");
      return std::nullopt;
    }
  }
  if (outcome && !is_listed(*outcome)) {
    if (!is_solved(outcome->status)) {
      return std::nullopt;
    }
    outcome->origin = PowerOrigin::listed;
    if (outcome->status == SolveStatus::converged) {
      outcome->stability.state = Stability::skipped;
    }
  }
  return outcome;
}

bool is_kept(const RunOptions& options, const ChainCondition& condition) {
  return options.resume || (!options.only.empty() && !condition.chosen);
}

/// What needs no further work is kept; what awaits examination too, where it can go on from disk.
void keep_finished(const Case& the_case, const RunOptions& options, std::vector<Chain>& chains,
                   Remarks& remarks) {
  for (Chain& chain : chains) {
    for (ChainCondition& condition : chain.conditions) {
      if (!is_kept(options, condition)) {
        continue;
      }
      std::optional<Outcome>& outcome = condition.outcome;
      outcome = kept_outcome(the_case, options, condition, remarks);
      if (!outcome || !condition.chosen || !options.examine_stability ||
          !is_passed_over(outcome->stability.state)) {
        continue;
      }
      if (std::filesystem::exists(restart_file(options.directory, condition.id))) {
        outcome->stability.state = Stability::awaited;
      } else {
        outcome.reset();
      }
    }
  }
}

std::string counted(int n) {
  return fmt::format("{} finished condition{}", n, n == 1 ? "" : "s");
}

/// Finished conditions that are kept.
struct Kept {
  int unchosen = 0;      ///< by `only`
  int without_start = 0; ///< chosen, solved from rest alone
  int with_start = 0;    ///< chosen, solved from another start by an earlier run
};

Kept count_kept(const std::vector<Chain>& chains) {
  Kept kept;
  for (const Chain& chain : chains) {
    for (const ChainCondition& condition : chain.conditions) {
      if (!condition.outcome || awaits_examination(condition)) {
        continue;
      }
      const bool is_started = condition.outcome->second.search != SecondSearch::not_made;
      int& count = !condition.chosen ? kept.unchosen
                   : is_started      ? kept.with_start
                                     : kept.without_start;
      ++count;
    }
  }
  return kept;
}

/// What a person might not expect to have been kept.
std::vector<std::string> remarks_on_kept(const Kept& kept, const RunOptions& options) {
  std::vector<std::string> remarks;
  if (kept.unchosen > 0 && !options.resume) {
    remarks.push_back(fmt::format("--only: {} that it does not choose stay, in the tables too",
                                  counted(kept.unchosen)));
  }
  const std::string start = "--start " + options.start + ": ";
  if (kept.without_start > 0 && !options.start.empty()) {
    remarks.push_back(fmt::format("{}{} that --resume keeps were not solved from there; leave out "
                                  "--resume to solve them anew (--only chooses some)",
                                  start, counted(kept.without_start)));
  }
  if (kept.with_start > 0 && !options.start.empty()) {
    remarks.push_back(fmt::format("{}{} that --resume keeps show what the start of an earlier run "
                                  "came to",
                                  start, counted(kept.with_start)));
  }
  return remarks;
}

/// What a solution that is not examined yet comes to: the first outcome of a steady state that is
/// to be examined, all there is to say of any other. False when it was stopped.
bool take_first(const RunContext& run, const Chain& chain, ChainCondition& condition,
                const Solution& solution, const OtherStart* other) {
  const RunOptions& options = run.options;
  if (!options.directory.empty()) {
    keep_restart(run, condition, solution);
  }
  if (solution.report.status != SolveStatus::converged || !options.examine_stability) {
    return complete(run, chain, condition, solution, other);
  }
  condition.outcome = first_outcome_of(run, chain, condition, solution);
  if (options.directory.empty()) {
    condition.steady = solution;
  }
  put_on_disk(run, chain, condition, solution);
  return true;
}

/// Solves one condition up to its first outcome, from `neighbour` where there is one; that becomes
/// its solution when it converged, else nothing. False when it was stopped.
bool solve_one(const RunContext& run, const Chain& chain, ChainCondition& condition,
               const OtherStart* other, WarmStart& neighbour) {
  const WarmStart start = std::exchange(neighbour, {});
  return or_beyond_range(run, chain, condition, [&] {
    Solution solution = solve_or_from_rest(run, chain, condition, start);
    if (solution.report.status == SolveStatus::stopped ||
        !take_first(run, chain, condition, solution, other)) {
      return false;
    }
    run.monitor.finished(condition.id, solution.report);
    if (solution.report.status == SolveStatus::converged) {
      neighbour.solution = std::move(solution);
    }
    return true;
  });
}

/// Solves what is chosen and has no outcome; steady states that are to be examined get their first.
void solve_chain(const RunContext& run, Chain& chain, const OtherStart* other,
                 const std::atomic<bool>& failed) {
  const RunOptions& options = run.options;
  const ChainCondition* before = nullptr; // the last one with an outcome
  WarmStart previous;                     // its solution, when it converged and is at hand
  for (ChainCondition& condition : chain.conditions) {
    if (condition.outcome) { // kept from an earlier run
      before = &condition;
      previous = {};
      continue;
    }
    if (!condition.chosen) {
      continue;
    }
    if (failed || (options.stop != nullptr && *options.stop)) {
      return;
    }
    previous = start_of(run, chain, before, condition, std::move(previous.solution));
    if (!solve_one(run, chain, condition, other, previous)) {
      return;
    }
    before = &condition;
  }
}

/// Examines one of the steady states; until that is done its first outcome stays. False when it
/// was stopped.
bool examine(const RunContext& run, const Chain& chain, ChainCondition& condition,
             const OtherStart* other) {
  std::optional<Solution> steady =
      condition.steady ? std::move(condition.steady) : kept_restart(run, chain, condition).solution;
  if (!steady) { // not as it was written, which is said
    steady = solve_condition(run, chain, condition, nullptr);
  }
  condition.steady_rise_k = condition.outcome->base_rise_mean_k.value;
  Solution base = examine_condition(run, chain, condition, *steady);
  if (base.report.status == SolveStatus::stopped) {
    return false;
  }
  base.report.steps += condition.outcome->steps;
  base.report.factorisations += condition.outcome->factorisations;
  base.report.seconds += condition.outcome->seconds;
  const SolveReport report = base.report;
  if (!complete(run, chain, condition, std::move(base), other)) {
    return false;
  }
  run.monitor.finished(condition.id, report);
  return true;
}

void examine_all(const Case& the_case, const RunOptions& options, std::vector<Chain>& chains,
                 const OtherStart* other, const std::function<void(const Progress&)>& progress,
                 int n_threads, Remarks& remarks) {
  std::vector<std::pair<const Chain*, ChainCondition*>> work;
  for (Chain& chain : chains) {
    for (ChainCondition& condition : chain.conditions) {
      if (awaits_examination(condition)) {
        work.emplace_back(&chain, &condition);
      }
    }
  }
  Monitor monitor(static_cast<int>(work.size()), true, progress);
  const RunContext run{the_case, options, monitor, remarks};
  const std::atomic<bool>* stop = options.stop;
  for_each_in_parallel(
      static_cast<int>(work.size()), n_threads, [&](int k, const std::atomic<bool>& failed) {
        if (!failed && (stop == nullptr || !*stop)) {
          const Chain& chain = *work[index(k)].first;
          ChainCondition& condition = *work[index(k)].second;
          static_cast<void>(or_beyond_range(run, chain, condition,
                                            [&] { return examine(run, chain, condition, other); }));
        }
      });
}

/// Everything that has an outcome, with its tables on disk.
CaseResults gather(const Case& the_case, const RunOptions& options,
                   const std::vector<Chain>& chains) {
  std::vector<Outcome> outcomes;
  for (const Chain& chain : chains) {
    for (const ChainCondition& condition : chain.conditions) {
      if (condition.outcome) {
        outcomes.push_back(*condition.outcome);
      }
    }
  }
  CaseResults results = results_of(the_case, std::move(outcomes));
  if (!options.directory.empty()) {
    write_tables(options.directory, the_case, results.outcomes, results.trends, results.context);
  }
  return results;
}

bool any_awaits(const std::vector<Chain>& chains) {
  return std::ranges::any_of(chains, [](const Chain& chain) {
    return std::ranges::any_of(chain.conditions, awaits_examination);
  });
}

} // namespace

CaseResults run_case(const Case& the_case, const RunOptions& options,
                     const std::function<void(const Progress&)>& progress,
                     const std::function<void(const CaseResults&)>& first_numbers) {
  std::vector<Chain> chains = make_chains(the_case, options.only, options.only_is_whole);
  Remarks remarks;
  check_orientations(the_case, chains);
  check_start(options, chains);
  if (!options.directory.empty()) {
    claim_directory(options.directory, the_case, options.resume);
    keep_finished(the_case, options, chains, remarks);
  }
  for (std::string& remark : remarks_on_kept(count_kept(chains), options)) {
    remarks.add(std::move(remark));
  }

  Monitor monitor(n_unsolved(chains), false, progress);
  const RunContext run{the_case, options, monitor, remarks};
  const std::optional<OtherStart> other = solve_start(run, chains);
  const int n_chains = static_cast<int>(chains.size());
  constexpr int any_number = std::numeric_limits<int>::max(); // the solver shares its work as well
  const int n_threads = threads_for(options.jobs, any_number);
  for_each_in_parallel(n_chains, n_threads, [&](int k, const std::atomic<bool>& failed) {
    solve_chain(run, chains[index(k)], other ? &*other : nullptr, failed);
  });
  const bool stopped = options.stop != nullptr && *options.stop;
  if (!stopped && any_awaits(chains)) {
    const CaseResults first = gather(the_case, options, chains);
    if (first_numbers) {
      first_numbers(first);
    }
    examine_all(the_case, options, chains, other ? &*other : nullptr, progress, n_threads, remarks);
  }
  bool is_done = !any_awaits(chains);
  if (options.resume || options.adds_powers || !options.only.empty()) {
    const bool brackets =
        bracket_limits(the_case, options, chains, other ? &*other : nullptr, progress, remarks);
    is_done = is_done && brackets;
  }
  if (is_done) {
    drop_restarts(options, chains);
  }
  CaseResults results = gather(the_case, options, chains);
  if (!options.directory.empty()) {
    results.undrawn = draw_pictures(options.directory, the_case, results.outcomes, results.trends);
  }
  results.remarks = remarks.all();
  return results;
}

CaseResults results_of(const Case& the_case, std::vector<Outcome> outcomes) {
  CaseResults results{std::move(outcomes), {}, report_context(the_case), {}};
  results.trends = make_trends(results.outcomes, results.context);
  return results;
}

ReportContext report_context(const Case& the_case) {
  const std::optional<Metal> metal = metal_of(the_case.cooler);
  return {.title = the_case.title,
          .core = core_limit(the_case),
          .metal_capacity_j_per_k = metal ? metal->mass() * aluminium_heat : nan,
          .notes = the_case.notes};
}

} // namespace tiltfin
