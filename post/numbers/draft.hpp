#pragma once
// What drives the air through the cooler, and what holds it: pressures along the streamlines of its
// fresh air.

#include "mesh/section.hpp"
#include "post/fits/estimate.hpp"
#include "solver/unknowns.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// One stretch of the way. Errors are of the discretisation.
struct DraftPart {
  std::string name;
  Estimate driving_pa; ///< buoyancy along it; "room": total pressure at the beginning less the end
  Estimate lost_pa;    ///< friction, turning, entry and exit: total pressure lost there
};

/// "before" the cooler, in the "fins" (their entrance and what they leave in the gaps with it),
/// "after" them, at "grilles" (the cells beside each) and by the "room": what draws at the two ends
/// of the way, which lie a quarter of a fin length outside the machine's outline, where the cooler
/// is met again, or, without an outline, a fin length from the cooler.
///
/// Mechanical energy along a streamline: buoyancy rho beta (T - T0) (-g . ds) less what is lost is
/// the gain of total pressure p + rho u^2 / 2; the mean over the fresh air weighted by flow. So the
/// driving pressures add up to the lost ones. Exact for a steady flow; in a mean over time losses
/// hold what swings carry. The fins' velocity is that of the free section in front of them. NaN
/// where no fresh air comes, no parts without a cooler.
[[nodiscard]] std::vector<DraftPart> draft(const Section& section, const Problem& problem,
                                           const State& state);

} // namespace tiltfin
