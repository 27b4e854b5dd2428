#pragma once
// How much colder the surfaces of a cooler are than its base: what conduction in its metal takes.

#include "mesh/section.hpp"
#include "solver/unknowns.hpp"

namespace tiltfin {

/// Mean temperature of the base less the mean temperature of what fins, base and fin media (the
/// sources where there are none) turn to the air, by surface [K]: with the same exchange everywhere
/// the heat is that surface's times the exchange. A solid's surface is as warm as the cell behind
/// it. Positive when fins are colder than the base; NaN without a base.
[[nodiscard]] double metal_drop(const Section& section, const Problem& problem, const State& state);

} // namespace tiltfin
