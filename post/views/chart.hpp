#pragma once
// A chart of points with error bars and curves, as SVG.

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

struct ChartSeries {
  std::string label;
  int colour = 0;         ///< series of one colour belong together
  bool is_square = false; ///< marker: square, else disc
  bool is_dashed = false; ///< the curve
  std::vector<ChartPoint> points;
  std::vector<ChartPoint> curve; ///< joined by lines, with a band from low to high
};

struct Chart {
  std::string title;
  std::string x_label;
  std::string y_label;
  std::vector<ChartSeries> series;
  double level = 0.0; ///< a horizontal line here, when `level_label` is not empty
  std::string level_label;
  std::string hollow_label; ///< what a hollow marker means, told where there is one
};

/// Colours of the series 0, 1, ... (they repeat); told apart with the common kinds of colour
/// blindness.
[[nodiscard]] const char* series_colour(int number);

/// Axes start at zero unless something lies below. Values that are not finite are left out; bars
/// and bands are cut at the edge of the plot.
[[nodiscard]] std::string chart_svg(const Chart& chart);

} // namespace tiltfin
