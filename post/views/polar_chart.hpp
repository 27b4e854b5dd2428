#pragma once
// Curves round a machine: a value against the angle that it is turned by, as a drawing.

#include "post/views/svg.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct PolarPoint {
  double angle_deg = 0.0; ///< 0 up the page, counter-clockwise
  double value = 0.0;     ///< distance from the middle; NaN: none, the curve is broken there
  double low = 0.0;       ///< ends of the error band; both equal to the value: none
  double high = 0.0;
  bool is_doubtful = false; ///< drawn hollow
  bool is_marked = true;    ///< false: the curve alone passes here
};

struct PolarSeries {
  std::string label; ///< empty: it has no entry of its own in the legend
  int colour = 0;
  bool is_dashed = false;
  bool is_closed = false;         ///< the last point is joined to the first
  std::vector<PolarPoint> points; ///< in the order in which they are joined
};

/// An angle with a name.
struct PolarName {
  double angle_deg = 0.0;
  std::string name;
};

struct PolarChart {
  std::string title; ///< for screen readers
  std::string unit;  ///< of the rings
  std::vector<PolarSeries> series;
  std::vector<PolarName>
      names; ///< marked on the outer ring, each with the machine turned like that
  std::vector<std::string> notes; ///< lines under the legend
};

/// Rings from zero in the middle. The machine is sketched as its board with the cooler's fins.
[[nodiscard]] Drawing polar_drawing(const PolarChart& chart);

} // namespace tiltfin
