#pragma once
// A chart of points with error bars and curves, as SVG.

#include <limits>
#include <string>
#include <vector>

namespace tiltfin {

struct ChartPoint {
  double x = 0.0;
  double y = 0.0;
  double low = 0.0; ///< ends of the error bar; both equal to y: none
  double high = 0.0;
  bool is_doubtful = false; ///< drawn hollow
};

/// How the points of a series look. A frame is open and drawn behind all others, so that a marker
/// of another kind shows inside it.
enum class Marker { disc, square, diamond, triangle, frame };

struct ChartSeries {
  std::string label; ///< in the legend; empty: not there
  int colour = 0;    ///< series of one colour belong together
  Marker marker = Marker::disc;
  bool is_dashed = false; ///< the curve
  std::vector<ChartPoint> points;
  std::vector<ChartPoint> curve; ///< joined by lines, with a band from low to high
  double solid_to = std::numeric_limits<double>::infinity(); ///< x beyond which the curve is dashed
  bool is_small = false;                                     ///< the markers: many of them
};

struct Chart {
  std::string title;
  std::string x_label;
  std::string y_label;
  std::vector<ChartSeries> series;
  double level = 0.0; ///< a horizontal line here, when `level_label` is not empty
  std::string level_label;
  std::string hollow_label; ///< what a hollow marker means, told where there is one
  std::string note{};       ///< a line under the legend
};

/// Colours of the series 0, 1, ... (they repeat); told apart with every kind of colour blindness
/// and in print.
[[nodiscard]] const char* series_colour(int number);
inline constexpr int n_series_colours = 7;

/// A colour and a filled marker that no other number below 28 has: colours first.
struct SeriesLook {
  int colour = 0;
  Marker marker = Marker::disc;
};
[[nodiscard]] SeriesLook series_look(int number);

/// Axes start at zero unless something lies below. Values that are not finite are left out; bars
/// and bands are cut at the edge of the plot.
[[nodiscard]] std::string chart_svg(const Chart& chart);

} // namespace tiltfin
