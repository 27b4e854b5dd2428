#pragma once
// Where the first condition that is solved of a chain starts from: a solution on disk.

#include "cases/chains.hpp"
#include "cases/run.hpp"
#include "solver/steady.hpp"

#include <optional>

namespace tiltfin {

/// The solution of `before` (the condition before this one in its chain; null: none) from the run's
/// own directory, else that of the same condition of the nearest neighbour that has it on the same
/// mesh; nothing: from rest.
[[nodiscard]] std::optional<Solution> start_on_disk(const Case& the_case, const RunOptions& options,
                                                    const Chain& chain,
                                                    const ChainCondition* before,
                                                    const ChainCondition& condition);

/// Removes what the next power would have started from, once it has; null: nothing to remove.
void drop_restart(const RunOptions& options, const ChainCondition* condition);

} // namespace tiltfin
