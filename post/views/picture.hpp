#pragma once
// The picture of a condition in the room frame: gravity points down the page, the case is turned.

#include "post/numbers/outcome.hpp"
#include "post/views/picture_scale.hpp"
#include "post/views/seen_flow.hpp"
#include "post/views/svg.hpp"

#include <optional>
#include <string>

namespace tiltfin {

/// That of the part of the section that a picture shows.
[[nodiscard]] PictureScale picture_scale(const Section& section, const SeenFlow& flow);

struct PictureStyle {
  /// Of this picture and others; none: its own. Its colours must hold those of the picture.
  std::optional<PictureScale> scale{};
  /// Of what the scale is, such as "of all pictures at 40 W"; said under the picture.
  std::string scale_is{};
  /// Begins the names of clip paths, patterns and gradients, which differ on one page.
  std::string names{};
};

/// The condition: temperature map, streamlines (contours of psi), solids outlined, scale bar,
/// gravity arrow, colour bar with units, a caption with the condition and base rise.
[[nodiscard]] Drawing picture(const Section& section, const SeenFlow& flow, const Outcome& outcome,
                              const PictureStyle& style = {});

/// "converged", "mean over 12 s", "not converged" and so on: what a picture's flow is.
[[nodiscard]] std::string flow_words(const Outcome& outcome);

} // namespace tiltfin
