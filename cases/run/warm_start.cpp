#include "cases/run/warm_start.hpp"

#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"

#include <algorithm>

namespace tiltfin {
namespace {

std::optional<Solution> solution_on_disk(const Case& the_case,
                                         const std::filesystem::path& directory, const Chain& chain,
                                         const ChainCondition& condition) {
  if (directory.empty()) {
    return std::nullopt;
  }
  return read_restart(restart_file(directory, condition.id), the_case, *chain.section,
                      condition_of(the_case, chain, condition.power));
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
std::optional<Solution> solution_of_neighbour(const Case& the_case,
                                              const std::vector<Neighbour>& neighbours,
                                              const Chain& chain, const ChainCondition& condition) {
  for (const Neighbour& neighbour : neighbours) {
    for (const Chain& other : make_chains(*neighbour.the_case, {}, false)) {
      const auto same =
          std::find_if(other.conditions.begin(), other.conditions.end(),
                       [&](const ChainCondition& own) { return own.id == condition.id; });
      if (same == other.conditions.end() ||
          !is_same_mesh(make_mesh(*other.section, neighbour.the_case->resolution),
                        make_mesh(*chain.section, the_case.resolution))) {
        continue;
      }
      std::optional<Solution> solution =
          solution_on_disk(the_case, neighbour.directory, chain, condition);
      if (solution) {
        return solution;
      }
    }
  }
  return std::nullopt;
}

} // namespace

std::optional<Solution> start_of(const Case& the_case, const RunOptions& options,
                                 const Chain& chain, const ChainCondition* before,
                                 const ChainCondition& condition, std::optional<Solution> at_hand) {
  std::optional<Solution> same =
      solution_of_neighbour(the_case, options.neighbours, chain, condition);
  if (same || at_hand) {
    return same ? std::move(same) : std::move(at_hand);
  }
  return before != nullptr ? solution_on_disk(the_case, options.directory, chain, *before)
                           : std::nullopt;
}

void keep_restart(const RunOptions& options, const ChainCondition& condition,
                  const Solution& solution) {
  const std::filesystem::path file = restart_file(options.directory, condition.id);
  if (solution.report.status == SolveStatus::converged) {
    write_restart(file, solution);
  } else {
    std::filesystem::remove(file);
  }
}

std::optional<Solution> kept_restart(const Case& the_case, const RunOptions& options,
                                     const Chain& chain, const ChainCondition& condition) {
  return solution_on_disk(the_case, options.directory, chain, condition);
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
