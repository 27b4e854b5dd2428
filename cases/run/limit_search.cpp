#include "cases/run/limit_search.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/run/complete.hpp"
#include "cases/run/parallel.hpp"
#include "cases/run/results.hpp"
#include "cases/run/warm_start.hpp"
#include "mesh/index.hpp"
#include "post/reports/report.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

constexpr int usual_additions = 2; // one on either side

/// The power that a chain's limit asks for next.
std::optional<double> power_asked_for(const Case& the_case, const Chain& chain) {
  std::vector<const Outcome*> group;
  for (const ChainCondition& condition : chain.conditions) {
    if (condition.outcome) {
      group.push_back(&*condition.outcome);
    }
  }
  return group.empty() ? std::nullopt : next_power_w(group, core_limit(the_case));
}

bool has_all_listed(const Chain& chain) {
  return std::ranges::all_of(chain.conditions, [](const ChainCondition& condition) {
    return condition.outcome && !awaits_examination(condition);
  });
}

void insert_by_power(Chain& chain, ChainCondition condition) {
  const auto place =
      std::ranges::upper_bound(chain.conditions, condition.power, {}, &ChainCondition::power);
  chain.conditions.insert(place, std::move(condition));
}

/// An outcome on disk by its id.
using FromDisk = std::function<std::optional<Outcome>(const std::string&)>;

/// The condition of an added power, with its outcome where that is on disk; empty: nowhere.
ChainCondition added_condition(const Chain& chain, double power, const FromDisk& from_disk) {
  ChainCondition condition;
  condition.id = condition_id(chain.panel->name, chain.orientation->name, power);
  condition.power = power;
  condition.chosen = condition.is_added = true;
  if (from_disk) {
    condition.outcome = from_disk(condition.id);
  }
  if (condition.outcome && is_listed(*condition.outcome)) {
    const bool is_beyond = condition.outcome->origin == PowerOrigin::listed_beyond_range;
    condition.outcome->origin = // the case listed it once
        is_beyond ? PowerOrigin::beyond_range : PowerOrigin::added;
  }
  return condition;
}

/// Takes what is on disk of a search, as far as it goes.
void take_from_disk(const Case& the_case, const FromDisk& from_disk, Chain& chain) {
  while (const std::optional<double> power = power_asked_for(the_case, chain)) {
    ChainCondition condition = added_condition(chain, *power, from_disk);
    if (!condition.outcome) {
      return;
    }
    insert_by_power(chain, std::move(condition));
  }
}

/// The steady state on disk that is nearest in power.
WarmStart nearest_start(const RunContext& run, const Chain& chain, double power) {
  std::vector<const ChainCondition*> conditions;
  for (const ChainCondition& condition : chain.conditions) {
    conditions.push_back(&condition);
  }
  std::ranges::stable_sort(conditions, {}, [power](const ChainCondition* condition) {
    return condition->power > 0.0 ? std::abs(std::log(condition->power / power))
                                  : std::numeric_limits<double>::infinity();
  });
  for (const ChainCondition* condition : conditions) {
    WarmStart start = kept_restart(run, chain, *condition);
    if (start.solution) {
      return start;
    }
  }
  return {};
}

/// Solves one added power; false when it was stopped.
bool solve_added(const RunContext& run, const Chain& chain, ChainCondition& condition,
                 const OtherStart* other) {
  const WarmStart start = nearest_start(run, chain, condition.power);
  return or_beyond_range(run, chain, condition, [&] {
    Solution solution = solve_or_from_rest(run, chain, condition, start);
    if (solution.report.status == SolveStatus::stopped) {
      return false;
    }
    if (!run.options.directory.empty()) {
      keep_restart(run, condition, solution);
    }
    const SolveReport report = solution.report;
    if (!complete(run, chain, condition, std::move(solution), other)) {
      return false;
    }
    run.monitor.finished(condition.id, report);
    return true;
  });
}

/// Adds powers until none is asked for any more; false when it was stopped.
bool search_limit(const RunContext& run, Chain& chain, const OtherStart* other,
                  const std::atomic<bool>& failed) {
  int n_solved = 0;
  while (const std::optional<double> power = power_asked_for(run.the_case, chain)) {
    if (failed || (run.options.stop != nullptr && *run.options.stop)) {
      return false;
    }
    ChainCondition condition = added_condition(chain, *power, {});
    if (++n_solved > usual_additions) {
      run.monitor.expect(1);
    }
    if (!solve_added(run, chain, condition, other)) {
      return false;
    }
    insert_by_power(chain, std::move(condition));
  }
  return true;
}

/// Whether added powers on disk stay in the tables as they are: with `resume`; else those of a
/// chain that `only` does not choose as a whole, or that gets none anew.
bool keeps_added(const RunOptions& options, const Chain& chain, bool adds) {
  const bool is_all_chosen =
      std::ranges::all_of(chain.conditions, [](const ChainCondition& c) { return c.chosen; });
  return !options.directory.empty() &&
         (options.resume || (!options.only.empty() && (!is_all_chosen || !adds)));
}

} // namespace

bool bracket_limits(const Case& the_case, const RunOptions& options, std::vector<Chain>& chains,
                    const OtherStart* other, const std::function<void(const Progress&)>& progress,
                    Remarks& remarks) {
  const bool adds = options.adds_powers && the_case.adds_powers;
  const FromDisk remembered = [&](const std::string& id) {
    return outcome_or_remark(options.directory, the_case, id, remarks,
                             adds ? "solved again where its limit asks for it"
                                  : "left out of the tables");
  };
  std::vector<Chain*> work;
  for (Chain& chain : chains) {
    const bool is_ready = any_chosen(chain) && has_all_listed(chain);
    if (keeps_added(options, chain, adds)) {
      take_from_disk(the_case, remembered, chain);
    }
    if (adds && is_ready && power_asked_for(the_case, chain)) {
      work.push_back(&chain);
    }
  }
  const int n = static_cast<int>(work.size());
  Monitor monitor = Monitor::of_added(usual_additions * n, progress);
  const RunContext run{the_case, options, monitor, remarks};
  std::vector<char> is_done(index(n), 0);
  for_each_in_parallel(n, threads_for(options.jobs, std::numeric_limits<int>::max()),
                       [&](int k, const std::atomic<bool>& failed) {
                         is_done[index(k)] =
                             search_limit(run, *work[index(k)], other, failed) ? 1 : 0;
                       });
  return std::ranges::all_of(is_done, [](char done) { return done != 0; });
}

std::vector<Outcome> with_added_on_disk(const Case& the_case,
                                        const std::filesystem::path& directory,
                                        std::vector<Outcome> listed) {
  std::vector<Outcome> all;
  for (Chain& chain : make_chains(the_case, {}, false)) {
    for (ChainCondition& condition : chain.conditions) {
      const auto known = std::ranges::find_if(listed, [&](const Outcome& outcome) {
        return condition_id(outcome.panel, outcome.orientation, outcome.power_w) == condition.id;
      });
      if (known != listed.end()) {
        condition.outcome = std::move(*known);
        listed.erase(known);
      }
    }
    if (has_all_listed(chain)) {
      take_from_disk(
          the_case,
          [&](const std::string& id) { return finished_outcome(directory, the_case, id); }, chain);
    }
    for (ChainCondition& condition : chain.conditions) {
      if (condition.outcome) {
        all.push_back(std::move(*condition.outcome));
      }
    }
  }
  return all;
}

} // namespace tiltfin
