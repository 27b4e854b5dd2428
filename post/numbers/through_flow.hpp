#pragma once
// The air that feeds the fins: how much of it, from where, how warm; what passes them by.

#include "mesh/section.hpp"
#include "post/numbers/cooler_outline.hpp"
#include "post/numbers/upstream.hpp"
#include "solver/unknowns.hpp"

#include <vector>

namespace tiltfin {

/// Less fresh air than would carry this share of the power with the rise of the base feeds nothing:
/// the cooler stands in stagnant air [-]. Chosen: what is left then goes by radiation and through
/// air that stands, and a temperature of the air that feeds the fins would explain nothing.
inline constexpr double stagnant_share = 0.1;

/// Flows per metre of depth [m2/s] across the outline of the cooler: round the solids of role fin
/// and base, the gaps between them and the fin media; without gaps and media round the bounding box
/// of fins and base (of the sources when there are none).
struct ThroughFlow {
  double in =
      0.0; ///< half of the sum of flow either way: eddies that reach across the outline, too
  /// The part of `in` that comes from elsewhere: followed upstream from where it enters, it leaves
  /// the machine's outline (the section, where none is drawn), or comes a fin length, before it
  /// meets the outline of the cooler again.
  double fresh = 0.0;
  double re_entering = 0.0; ///< the part that has left the cooler less than a fin length before
  /// From end to end: at the middle of every fin gap the net flow, of a medium the larger of along
  /// x and along y; sum of amounts.
  double crossing = 0.0;
  /// Beside the cooler, within the machine, across the line through its middle: sum of the amounts
  /// of the net flow of each air run. NaN where no machine is outlined.
  double bypass = 0.0;
  /// Flow-weighted, of `fresh` a tenth of a fin length upstream: ahead of the air that the fins
  /// warm by conduction; NaN where nothing is [K].
  double feeding_temperature = 0.0;
  /// The same where it is followed to: what it gains from there on, others than the fins give it.
  double source_temperature = 0.0;
};

/// Fresh air that enters the cooler through a face of its outline.
struct FreshInflow {
  CrossedEdge edge;
  double flow = 0.0;  ///< inwards [m2/s]
  CrossedEdge ahead;  ///< a tenth of a fin length upstream
  CrossedEdge source; ///< where it is followed to
};

/// All that enters, and what of it is fresh.
struct Inflow {
  double either_way = 0.0;  ///< sum of the amounts across the outline [m2/s]
  double re_entering = 0.0; ///< [m2/s]
  std::vector<FreshInflow> fresh;
};
[[nodiscard]] Inflow inflow(const CoolerOutline& cooler, const OutlinedCells& cells,
                            const Section& section, const Problem& problem, const State& state);

/// Air that has left the machine's outline is followed this share of a fin length at least: a
/// cooler may stand in the outline itself.
inline constexpr double least_way = 0.25;

/// True when too little fresh air comes to feed the cooler: flow [m2/s], rise of the base [K], heat
/// released [W/m]. False where one is not known.
[[nodiscard]] bool is_stagnant(const AirProperties& air, double fresh, double rise,
                               double released);

/// Of the air that enters the machine's outline, the share that has left it on a way not longer
/// than its longer side before [-]; NaN where no machine is outlined or nothing enters.
[[nodiscard]] double case_re_entering_share(const Section& section, const Problem& problem,
                                            const State& state);

/// NaN without a cooler. Air that crosses the middle of every face stands for all of that face.
[[nodiscard]] ThroughFlow through_flow(const Section& section, const Problem& problem,
                                       const State& state);

} // namespace tiltfin
