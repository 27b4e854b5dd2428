#pragma once
// How a condition's air moves in time: a start from cold, or the swaying of a mean over time.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"
#include "post/views/seen_flow.hpp"
#include "solver/steady.hpp"

#include <atomic>
#include <functional>
#include <vector>

namespace tiltfin {

enum class Recording {
  from_cold, ///< all at the room's temperature, power on at time 0, until 1 % is left to go
  swaying    ///< of a mean over time, once it has forgotten that it began with the mean
};

[[nodiscard]] const char* name(Recording recording); ///< "from-cold", "swaying"

struct RecordedFlow {
  std::vector<double> times_s;
  std::vector<SeenFlow> flows;
  std::vector<double> base_rises_k; ///< mean over the base; NaN without one
  SolveStatus status = SolveStatus::not_converged;
};

/// Marches the condition of `outcome` on its section and on the mesh of `known`, what its fields on
/// disk hold, in true time; metal stores what it does (set_metal_capacity). From cold, times grow
/// by one factor. A swaying flow is first followed with metal as quick as air, which fins and
/// radiation need to find to the mean, of which no file tells; then times are even. `step` is
/// called after every step. A march that ends early keeps what it has.
[[nodiscard]] RecordedFlow record_flow(const Case& the_case, const Section& section,
                                       const Outcome& outcome, const SeenFlow& known,
                                       Recording recording, const std::atomic<bool>* stop,
                                       const std::function<void()>& step);

} // namespace tiltfin
