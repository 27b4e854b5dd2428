#pragma once
// Where a condition starts from, and solutions on disk.

#include "cases/run/chains.hpp"
#include "cases/run/options.hpp"
#include "solver/steady.hpp"

#include <optional>

namespace tiltfin {

/// Where a condition starts from: itself at the nearest neighbour that has it on the same mesh,
/// else the one before it in its chain, `at_hand` or (`before`; null: none) on disk; nothing: from
/// rest.
[[nodiscard]] std::optional<Solution> start_of(const Case& the_case, const RunOptions& options,
                                               const Chain& chain, const ChainCondition* before,
                                               const ChainCondition& condition,
                                               std::optional<Solution> at_hand);

/// Puts what examination and the next power start from on disk, if it converged; an old one goes.
void keep_restart(const RunOptions& options, const ChainCondition& condition,
                  const Solution& solution);

/// What `keep_restart` wrote; nothing when it is missing, damaged, or belongs to other meshes.
[[nodiscard]] std::optional<Solution> kept_restart(const Case& the_case, const RunOptions& options,
                                                   const Chain& chain,
                                                   const ChainCondition& condition);

/// Removes what was kept but for the last of every chain, which a power added later starts from.
void drop_restarts(const RunOptions& options, const std::vector<Chain>& chains);

} // namespace tiltfin
