#pragma once
// The machine turned through all angles (tilts in [conditions], --tilts): every chosen panel state
// and power both ways round (cases/run/tilt_sweep.hpp), then angles between, until the best, the
// worst and every jump of the rise are known to five degrees. Flows are steady where there is one,
// and whether air leaves them is not examined.
//
// `directory` gets tilts.csv, pictures/tilts-<panel>.svg and, in tilts/, the angles that were asked
// for and per step of a sweep its numbers and its state, which --resume goes on from.

#include "cases/file/case.hpp"
#include "cases/run/options.hpp"
#include "cases/run/progress.hpp"
#include "cases/run/remarks.hpp"
#include "post/reports/tilt_solved.hpp"

#include <functional>
#include <optional>

namespace tiltfin {

/// Whether `only` (see RunOptions) chooses a panel state and power: one of its angles' ids contains
/// one of the texts.
[[nodiscard]] bool chooses_tilts(const Case& the_case, const Tilts& tilts,
                                 const std::vector<std::string>& only);

/// Refuses what cannot be turned through all angles: a case without a base, one whose room does not
/// turn with the machine, and a directory with a sweep of other angles that is to be gone on with.
/// Throws InputError, and nothing is touched.
void check_tilts(const Case& the_case, const Tilts& tilts, const RunOptions& options);

/// Sweeps what is chosen and writes; nothing when the caller asked to stop: with `resume` the same
/// call goes on. Of the options, accuracy, start and neighbours are of conditions alone. The
/// results do not depend on the number of threads. `remarks` gets what was not as it was written
/// and is solved again. Throws as run_case does.
[[nodiscard]] std::optional<TiltReport>
run_tilts(const Case& the_case, const Tilts& tilts, RunOptions options,
          const std::function<void(const Progress&)>& progress, Remarks& remarks);

} // namespace tiltfin
