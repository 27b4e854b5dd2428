#pragma once
// Temperature map, streamlines, parts and sides of a solved condition, turned so that gravity
// points down the page: what pictures and sheets have in common.

#include "mesh/section.hpp"
#include "post/views/page.hpp"
#include "post/views/picture_scale.hpp"
#include "post/views/seen_flow.hpp"

#include <string>

namespace tiltfin {

struct FlowDrawing {
  Rectangle seen; ///< [m]
  PageView view;  ///< of the flow's gravity
  PictureScale scale;
  std::string names{};         ///< begins the names of clip paths and patterns
  double pixels_per_px = 1.25; ///< of the map, so that solids stay sharp when enlarged
  double tolerance = 0.15;     ///< of streamlines [px]
  double line = 0.8;           ///< their thickness [px]
};

/// As SVG, with a frame; open ends of `seen` as a thin line, walls of the section hatched, symmetry
/// as a line of dashes and dots.
[[nodiscard]] std::string flow_drawing(const Section& section, const SeenFlow& flow,
                                       const FlowDrawing& drawing);

/// Whether `seen` ends at this side of the section.
[[nodiscard]] bool is_seen(const Section& section, const Rectangle& seen, SideName side);

/// The colour scale from its lower left corner upwards, or from its upper left corner to the right,
/// with ticks in °C beside or below it. `length` and place in px.
struct ColourBar {
  PagePoint corner;
  double length = 0.0;
  bool is_level = false;
  std::string names; ///< begins the name of the gradient
};
[[nodiscard]] std::string colour_bar(const PictureScale& scale, const ColourBar& bar);

/// A bar of a round length, about `wanted` px, with its length in mm to the right; the left end of
/// the bar's middle line at `place`.
[[nodiscard]] std::string length_bar(const PagePoint& place, double px_per_m, double wanted);

/// Points down, with the word beside it; `top` is where it begins.
[[nodiscard]] std::string gravity_arrow(const PagePoint& top, double length);

} // namespace tiltfin
