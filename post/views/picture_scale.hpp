#pragma once
// What colours and streamlines of a picture mean, for one picture alone or for several together.

#include "mesh/section.hpp"
#include "post/views/seen_flow.hpp"

#include <limits>

namespace tiltfin {

struct PictureScale {
  double coldest = std::numeric_limits<double>::infinity(); ///< that the colours span [K]
  double hottest = -std::numeric_limits<double>::infinity();
  double line_g_per_s = 0.0; ///< air between neighbouring streamlines; 0: none are drawn
};

/// With a room meshed around the machine, the machine and `margin` of its longer side around it;
/// else the whole section.
[[nodiscard]] Rectangle seen_part(const Section& section, double margin);

/// Of `seen` alone: its colours are at least a tenth of a kelvin wide and begin where the
/// surroundings do; about twenty lines in the machine, at a round number of g/s.
[[nodiscard]] PictureScale scale_of(const Section& section, const SeenFlow& flow,
                                    const Rectangle& seen);

/// The one that serves both: the colours of either, the fewer lines.
[[nodiscard]] PictureScale common_scale(const PictureScale& a, const PictureScale& b);

} // namespace tiltfin
