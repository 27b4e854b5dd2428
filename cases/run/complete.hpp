#pragma once
// The last steps of a condition: what it comes to, and the disk.

#include "cases/run/chains.hpp"
#include "cases/run/second_flow.hpp"
#include "cases/run/solve_condition.hpp"
#include "solver/steady.hpp"

#include <functional>

namespace tiltfin {

/// Writes the files of a condition that has an outcome, of the solution that it reports.
void put_on_disk(const RunContext& run, const Chain& chain, const ChainCondition& condition,
                 const Solution& reported);

/// The last that is done for a condition: a finer mesh, a second flow (`other`: where from, if
/// options.start names a condition), its outcome, the disk. False when it was stopped; nothing has
/// changed then.
[[nodiscard]] bool complete(const RunContext& run, const Chain& chain, ChainCondition& condition,
                            Solution base, const OtherStart* other);

/// What `work` returns. Where it leaves the model's range: a row that says so, on disk too, and
/// true.
[[nodiscard]] bool or_beyond_range(const RunContext& run, const Chain& chain,
                                   ChainCondition& condition, const std::function<bool()>& work);

} // namespace tiltfin
