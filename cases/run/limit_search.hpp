#pragma once
// Powers that are added to the listed ones of a panel state and orientation, one after the other,
// until the power limit lies between two solved powers that are close (post/fits/limit_bracket).

#include "cases/run/chains.hpp"
#include "cases/run/options.hpp"
#include "cases/run/progress.hpp"
#include "cases/run/remarks.hpp"
#include "cases/run/second_flow.hpp"

#include <filesystem>
#include <functional>
#include <vector>

namespace tiltfin {

/// Adds to every chain what its limit asks for: first what `options.directory` holds of it (with
/// `options.resume`), then, where `options.adds_powers` and the case do and every listed power of a
/// chosen chain is finished, by solving, each from the nearest power whose steady state is on disk,
/// else from rest. Which powers those are follows from the outcomes alone, so that a run that was
/// interrupted goes on with the same ones. An added power is a steady flow (a mean over time where
/// there is none) whose stability is not examined: that would cost five times as much. One without
/// a result ends the search of its chain. False when the caller asked to stop before all was done.
[[nodiscard]] bool bracket_limits(const Case& the_case, const RunOptions& options,
                                  std::vector<Chain>& chains, const OtherStart* other,
                                  const std::function<void(const Progress&)>& progress,
                                  Remarks& remarks);

/// The powers that an earlier run added for the limit that `the_case` has now, in the order of the
/// results; with them, `listed`. A panel state and orientation of which a listed condition is not
/// among these has none. Throws StoredInputError for one that is not as it was written.
[[nodiscard]] std::vector<Outcome> with_added_on_disk(const Case& the_case,
                                                      const std::filesystem::path& directory,
                                                      std::vector<Outcome> listed);

} // namespace tiltfin
