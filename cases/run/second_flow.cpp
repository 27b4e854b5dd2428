#include "cases/run/second_flow.hpp"

#include "cases/file/conditions.hpp"
#include "solver/start.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {
namespace {

constexpr const char* mirrored_start = "mirrored";
constexpr const char* search_start = "search";

/// Starts one after the other until one leads to another flow; what the last one led to.
template <class From>
Solution first_other(const Solution& solution, const From& from_own) {
  struct Turns {
    int x;
    int y;
  };
  constexpr double strength = 8.0; // times the flow found: strong enough to sweep it away
  Solution last = from_own(mirrored);
  for (const Turns turns : {Turns{1, 1}, Turns{2, 2}, Turns{2, 1}, Turns{1, 2}}) {
    for (const double sign : {1.0, -1.0}) {
      if (last.report.status == SolveStatus::stopped || is_other_flow(solution, last)) {
        return last;
      }
      last = from_own([=](const Problem& problem, const State& state) {
        return stirred(problem, state, turns.x, turns.y, sign * strength);
      });
    }
  }
  return last;
}

/// Solves a condition once more from the other start; nothing when there is none for its section.
std::optional<Solution> solve_otherwise(const RunContext& run, const Chain& chain,
                                        const ChainCondition& condition, const Solution& solution,
                                        const OtherStart* other) {
  const auto from_own = [&](const ChangeState& change) {
    return solve_condition_from(run, chain, condition, solution, change);
  };
  if (run.options.start == mirrored_start) {
    return from_own(mirrored);
  }
  if (run.options.start == search_start) {
    return first_other(solution, from_own);
  }
  if (other != nullptr && other->chain->section == chain.section) {
    return solve_condition_from(run, chain, condition, other->solution);
  }
  return std::nullopt;
}

} // namespace

void check_start(const RunOptions& options, const std::vector<Chain>& chains) {
  if (options.start.empty() || options.start == mirrored_start || options.start == search_start) {
    return;
  }
  const Chain* named = nullptr;
  std::vector<std::string> ids;
  for (const Chain& chain : chains) {
    for (const ChainCondition& condition : chain.conditions) {
      ids.push_back(condition.id);
      named = condition.id == options.start ? &chain : named;
    }
  }
  if (named == nullptr) {
    throw InputError(fmt::format("--start: found '{}', allowed {}, {} or one of {}", options.start,
                                 mirrored_start, search_start, fmt::join(ids, ", ")));
  }
  check_in_section(*named->section, *named->orientation, "--start " + options.start);
  const bool any = std::any_of(chains.begin(), chains.end(), [&](const Chain& chain) {
    return chain.section == named->section && any_chosen(chain);
  });
  if (!any) {
    throw InputError(fmt::format(
        "--start: found {}, allowed a condition with the panel state and the section of "
        "one that is chosen (its own is {}, {})",
        options.start, named->panel->name, named->orientation->name));
  }
}

std::optional<OtherStart> solve_start(const RunContext& run, const std::vector<Chain>& chains) {
  for (const Chain& chain : chains) {
    for (const ChainCondition& condition : chain.conditions) {
      if (condition.id == run.options.start) {
        Solution steady = solve_condition(run, chain, condition, nullptr);
        const bool examine =
            run.options.examine_stability && steady.report.status == SolveStatus::converged;
        return OtherStart{&chain, examine ? examine_condition(run, chain, condition, steady)
                                          : std::move(steady)};
      }
    }
  }
  return std::nullopt;
}

std::optional<Outcome> outcome_with_second(const RunContext& run, const Chain& chain,
                                           const ChainCondition& condition, const Solved& solved,
                                           const OtherStart* other) {
  const std::optional<Solution> second = solve_otherwise(run, chain, condition, solved.base, other);
  if (second && second->report.status == SolveStatus::stopped) {
    return std::nullopt;
  }
  Outcome outcome = outcome_of(run, chain, condition, solved);
  if (second) {
    add_second_flow(*chain.section, solved.base, *second, run.the_case.room_temperature, outcome);
  }
  return outcome;
}

} // namespace tiltfin
