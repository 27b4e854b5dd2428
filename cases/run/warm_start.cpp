#include "cases/run/warm_start.hpp"

#include "cases/file/stored.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace tiltfin {
namespace {

/// A directory and the case that its files are of.
WarmStart solution_on_disk(const RunContext& run, const Neighbour& from, const Chain& chain,
                           const ChainCondition& condition) {
  if (from.directory.empty()) {
    return {};
  }
  const std::filesystem::path file = restart_file(from.directory, condition.id);
  try {
    return {read_restart(file, run.the_case, *chain.section,
                         condition_of(run.the_case, chain, condition.power), from.the_case),
            file.string()};
  } catch (const StoredInputError& error) {
    run.remarks.add(fmt::format("{}: nothing starts from it, but from another state or from rest",
                                error.found));
    return {};
  }
}

bool is_same_mesh(const TensorMesh& a, const TensorMesh& b) {
  const auto is_same = [](const Axis& p, const Axis& q) {
    bool same = p.n() == q.n();
    for (int k = 0; same && k <= p.n(); ++k) {
      same = p.at(k) == q.at(k);
    }
    return same;
  };
  return is_same(a.x, b.x) && is_same(a.y, b.y) && a.region == b.region && a.medium == b.medium;
}

/// The same condition of the nearest neighbour that has it on the same mesh: its state in the
/// problem of this case, whose surfaces may radiate otherwise.
WarmStart solution_of_neighbour(const RunContext& run, const Chain& chain,
                                const ChainCondition& condition) {
  for (const Neighbour& neighbour : run.options.neighbours) {
    if (!neighbour.ids.empty() && std::ranges::count(neighbour.ids, condition.id) == 0) {
      continue;
    }
    for (const Chain& other : make_chains(*neighbour.the_case, {}, false)) {
      const auto same =
          std::find_if(other.conditions.begin(), other.conditions.end(),
                       [&](const ChainCondition& own) { return own.id == condition.id; });
      if (same == other.conditions.end() ||
          !is_same_mesh(make_mesh(*other.section, neighbour.the_case->resolution),
                        make_mesh(*chain.section, run.the_case.resolution))) {
        continue;
      }
      WarmStart start = solution_on_disk(run, neighbour, chain, condition);
      if (start.solution) {
        return start;
      }
    }
  }
  return {};
}

} // namespace

WarmStart start_of(const RunContext& run, const Chain& chain, const ChainCondition* before,
                   const ChainCondition& condition, std::optional<Solution> at_hand) {
  WarmStart same = solution_of_neighbour(run, chain, condition);
  if (same.solution) {
    return same;
  }
  if (at_hand) {
    return {std::move(at_hand), ""};
  }
  return before != nullptr ? kept_restart(run, chain, *before) : WarmStart{};
}

void keep_restart(const RunContext& run, const ChainCondition& condition,
                  const Solution& solution) {
  const std::filesystem::path file = restart_file(run.options.directory, condition.id);
  if (solution.report.status == SolveStatus::converged) {
    write_restart(file, run.the_case, solution);
  } else {
    std::filesystem::remove(file);
  }
}

WarmStart kept_restart(const RunContext& run, const Chain& chain, const ChainCondition& condition) {
  return solution_on_disk(run, {&run.the_case, run.options.directory}, chain, condition);
}

void drop_restarts(const RunOptions& options, const std::vector<Chain>& chains) {
  if (options.directory.empty()) {
    return;
  }
  for (const Chain& chain : chains) {
    const ChainCondition* last = nullptr;
    for (const ChainCondition& condition : chain.conditions) {
      if (condition.outcome) {
        if (last != nullptr) {
          std::filesystem::remove(restart_file(options.directory, last->id));
        }
        last = &condition;
      }
    }
  }
}

} // namespace tiltfin
