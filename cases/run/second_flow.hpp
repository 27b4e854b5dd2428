#pragma once
// The search for a second flow: every condition once more, from another start (RunOptions::start).

#include "cases/run/chains.hpp"
#include "cases/run/options.hpp"
#include "cases/run/solve_condition.hpp"

#include <optional>
#include <vector>

namespace tiltfin {

/// The condition that all others start from a second time. Points into the chains.
struct OtherStart {
  const Chain* chain = nullptr;
  Solution solution;
};

/// Throws InputError when `options.start` is neither a way of starting nor a condition, or is a
/// condition that its section cannot answer for or that no chosen condition can start from.
void check_start(const RunOptions& options, const std::vector<Chain>& chains);

/// The solution of the condition that `options.start` names; nothing when it names none.
[[nodiscard]] std::optional<OtherStart> solve_start(const RunContext& run,
                                                    const std::vector<Chain>& chains);

/// The condition's numbers with the second flow that another start leads to, if one is looked for
/// (`other`: null where `options.start` names no condition); nothing when the caller asked to stop.
[[nodiscard]] std::optional<Outcome> outcome_with_second(const RunContext& run, const Chain& chain,
                                                         const ChainCondition& condition,
                                                         const Solved& solved,
                                                         const OtherStart* other);

} // namespace tiltfin
