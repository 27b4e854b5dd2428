#include "cases/choose/lever_errors.hpp"

#include "cases/run/chains.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "post/fits/groups.hpp"
#include "post/numbers/balances.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double same_solution = 1e-6; // of a rise computed twice from one state

} // namespace

std::optional<MeshRises> mesh_rises(const Case& the_case, const std::filesystem::path& directory,
                                    const Outcome& outcome) {
  if (outcome.status != SolveStatus::converged) {
    return std::nullopt;
  }
  for (const Chain& chain : make_chains(the_case, {}, false)) {
    if (Placing{chain.panel->name, chain.orientation->name} != placing_of(outcome)) {
      continue;
    }
    const std::string id = condition_id(outcome.panel, outcome.orientation, outcome.power_w);
    const Section& section = *chain.section;
    const std::optional<Solution> solution =
        read_restart(restart_file(directory, id), the_case, section,
                     condition_of(the_case, chain, outcome.power_w));
    if (!solution || !solution->coarse_state) {
      return std::nullopt;
    }
    const auto rise = [&](const Problem& problem, const State& state) {
      return solid_temperature(problem, state, section.base).mean - the_case.room_temperature;
    };
    const MeshRises rises{rise(solution->problem, solution->state),
                          rise(*solution->coarse_problem, *solution->coarse_state),
                          mesh_pair(*solution)};
    const double value = outcome.base_rise_mean_k.value;
    const bool is_same = std::abs(rises.fine - value) <= same_solution * std::abs(value);
    return is_same ? std::optional(rises) : std::nullopt;
  }
  return std::nullopt;
}

Estimate rise_difference(const Estimate& a, const std::optional<MeshRises>& on_a, const Estimate& b,
                         const std::optional<MeshRises>& on_b) {
  Estimate difference{a.value - b.value, std::hypot(a.error, b.error)};
  if (on_a && on_b && on_a->pair.ratio == on_b->pair.ratio) {
    const MeshPair pair{on_a->pair.ratio, std::min(on_a->pair.order, on_b->pair.order),
                        std::max(on_a->pair.apart, on_b->pair.apart)};
    const double seen =
        discretisation_error(on_a->fine - on_b->fine, on_a->coarse - on_b->coarse, pair);
    difference.error = std::max(seen, least_of_squares * difference.error);
  }
  return difference;
}

} // namespace tiltfin
