#pragma once
// The picture of a condition in the room frame: gravity points down the page, the case is turned.

#include "post/outcome.hpp"
#include "solver/steady.hpp"

#include <string>

namespace tiltfin {

/// The condition as SVG: temperature map, streamlines (contours of psi), solids outlined, scale
/// bar, gravity arrow, colour bar with units, a caption with the condition and base rise.
[[nodiscard]] std::string picture_svg(const Section& section, const Solution& solution,
                                      const Outcome& outcome);

} // namespace tiltfin
