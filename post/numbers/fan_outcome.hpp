#pragma once
// The numbers of a body that a fan of sections stands for.

#include "post/numbers/outcome.hpp"

namespace tiltfin {

/// Of a fan (Solution::others): flows and heats are the sections' by weight, the rise is the one
/// they have in common, temperatures and pressures are means by flow, status and stability those of
/// the worst, largest and smallest values those of all; error bars add up like their values, as if
/// all sections erred the same way. Film temperature and the number of cells are those of the
/// section nearest to the vertical plane, as are the fields and pictures. Of one section:
/// make_outcome.
[[nodiscard]] Outcome make_whole_outcome(const Section& section, const Solution& solution,
                                         const OutcomeContext& context);

/// A fan's section, or the only one, with its own report.
[[nodiscard]] Solution section_alone(const Solution& solution);

} // namespace tiltfin
