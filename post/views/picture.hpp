#pragma once
// The picture of a condition in the room frame: gravity points down the page, the case is turned.

#include "post/numbers/outcome.hpp"
#include "post/views/svg.hpp"
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

struct PictureStyle {
  /// That the colours span, which must hold that of the picture; none: that itself.
  std::optional<TemperatureRange> range;
  /// Begins the names of clip paths, patterns and gradients, which differ on one page.
  std::string names;
};

/// The condition: temperature map, streamlines (contours of psi), solids outlined, scale bar,
/// gravity arrow, colour bar with units, a caption with the condition and base rise.
[[nodiscard]] Drawing picture(const Section& section, const Solution& solution,
                              const Outcome& outcome, const PictureStyle& style = {});

} // namespace tiltfin
