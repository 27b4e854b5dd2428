#pragma once
// The picture of a condition in the room frame: gravity points down the page, the case is turned.

#include "post/numbers/outcome.hpp"
#include "solver/steady.hpp"

#include <limits>
#include <optional>
#include <string>

namespace tiltfin {

/// What the colours of a picture span [K].
struct TemperatureRange {
  double coldest = std::numeric_limits<double>::infinity();
  double hottest = -std::numeric_limits<double>::infinity();
};

/// That of the part of the section that a picture shows; at least a tenth of a kelvin wide.
[[nodiscard]] TemperatureRange shown_range(const Section& section, const Solution& solution);

/// The condition as SVG: temperature map, streamlines (contours of psi), solids outlined, scale
/// bar, gravity arrow, colour bar with units, a caption with the condition and base rise. Colours
/// span `range`, which must hold that of the picture; without one, that itself.
[[nodiscard]] std::string picture_svg(const Section& section, const Solution& solution,
                                      const Outcome& outcome,
                                      const std::optional<TemperatureRange>& range = {});

} // namespace tiltfin
