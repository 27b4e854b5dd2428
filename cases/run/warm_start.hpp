#pragma once
// Where a condition starts from, and solutions on disk.

#include "cases/run/chains.hpp"
#include "cases/run/options.hpp"
#include "cases/run/solve_condition.hpp"
#include "solver/steady.hpp"

#include <optional>

namespace tiltfin {

/// Where a condition starts from: itself at the nearest neighbour that has it on the same mesh,
/// else the one before it in its chain, `at_hand` or (`before`; null: none) on disk; nothing: from
/// rest. What is on disk and not as it was written is said and passed over.
[[nodiscard]] WarmStart start_of(const RunContext& run, const Chain& chain,
                                 const ChainCondition* before, const ChainCondition& condition,
                                 std::optional<Solution> at_hand);

/// Puts what examination and the next power start from on disk, if it converged; an old one goes.
void keep_restart(const RunContext& run, const ChainCondition& condition, const Solution& solution);

/// What `keep_restart` wrote; nothing when it is missing, not as it was written (which is said), or
/// of other meshes.
[[nodiscard]] WarmStart kept_restart(const RunContext& run, const Chain& chain,
                                     const ChainCondition& condition);

/// Removes what was kept but for the last of every chain, which a power added later starts from.
void drop_restarts(const RunOptions& options, const std::vector<Chain>& chains);

} // namespace tiltfin
