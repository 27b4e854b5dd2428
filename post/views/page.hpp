#pragma once
// From the board frame to the page of a drawing. The page's y points down, in px.

#include "mesh/section.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct PagePoint {
  double x = 0.0; ///< [px]
  double y = 0.0; ///< [px], down
};

/// A turn counter-clockwise as seen on the page.
struct Turn {
  double cosine = 1.0;
  double sine = 0.0;
};

/// The turn that makes gravity (board frame, any length) point down the page: none when the board
/// is upright or there is no gravity, a quarter when it lies flat with the cooler on top.
[[nodiscard]] Turn turn_to_room(double gravity_x, double gravity_y);

struct PageView {
  Turn turn;
  double scale = 1.0;    ///< [px/m]
  double centre_x = 0.0; ///< this point of the board frame [m] ...
  double centre_y = 0.0;
  PagePoint middle; ///< ... lies here
};

/// The view that shows `seen` turned, as large as a box of `width` and `height` px allows, with its
/// middle at the origin of the page.
[[nodiscard]] PageView fit_view(const Rectangle& seen, const Turn& turn, double width,
                                double height);

[[nodiscard]] PagePoint to_page(const PageView& view, double x, double y);

/// A line on the page, as SVG; `attributes`: its class, colour and so on.
[[nodiscard]] std::string page_line(const PagePoint& a, const PagePoint& b,
                                    const std::string& attributes);

/// Size on the page of a turned rectangle [px], x to the right and y down.
[[nodiscard]] PagePoint size_on_page(const PageView& view, const Rectangle& rectangle);

/// SVG path data of a turned rectangle, closed.
[[nodiscard]] std::string path_of(const PageView& view, const Rectangle& rectangle);

/// SVG path data of evenly spaced lines along y inside a turned rectangle, about `spacing` px
/// apart.
[[nodiscard]] std::string lines_along_y(const PageView& view, const Rectangle& rectangle,
                                        double spacing);

} // namespace tiltfin
