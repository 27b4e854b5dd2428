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

/// Removes what the next power would have started from, once it has; null: nothing to remove.
void drop_restart(const RunOptions& options, const ChainCondition* condition);

} // namespace tiltfin
