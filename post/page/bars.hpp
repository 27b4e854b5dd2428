#pragma once
// Bars as SVG that a page and a file of its own can both hold: colours are the page's where it has
// them (var), else those written beside them. Labels stand above their bars, so that it is as
// readable on a narrow screen.

#include "post/fits/estimate.hpp"

#include <string>
#include <vector>

namespace tiltfin {

// Colours of pieces: name of the page's variable and the colour without one.
inline constexpr const char* whole_colour = "var(--whole,#46557a)";
inline constexpr const char* warmer_colour = "var(--warmer,#b5403a)";
inline constexpr const char* cooler_colour = "var(--cooler,#00707a)";
inline constexpr const char* unsure_colour = "var(--unsure,#8a8a96)";

/// From one value to another, in either order.
struct BarPiece {
  double from = 0.0;
  double to = 0.0;
  std::string colour;
};

struct Bar {
  std::string label;
  std::string value;            ///< written at the right, with its unit
  std::vector<BarPiece> pieces; ///< those that are not finite are left out
  Estimate tip{.value = nan};   ///< where an error bar lies; NaN: none
  bool is_total = false;        ///< its label stands out
};

struct BarLegend {
  std::string label;
  std::string colour;
};

struct BarChart {
  std::string title; ///< for screen readers
  std::string unit;  ///< of the axis
  std::vector<Bar> bars;
  std::vector<BarLegend> legend;
};

/// A whole SVG element without names (ids) in it.
[[nodiscard]] std::string bars_svg(const BarChart& chart);

} // namespace tiltfin
