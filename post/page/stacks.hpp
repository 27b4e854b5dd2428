#pragma once
// What goes where, as stacked bars: a stack per panel state and orientation, a chart per power.

#include "post/page/figure.hpp"
#include "post/page/page_results.hpp"

#include <functional>
#include <string>
#include <vector>

namespace tiltfin {

struct StackSegment {
  std::string label;
  std::string colour; ///< "#rrggbb"
  Estimate value;
};

struct StackPart {
  std::string name;    ///< of the figures; their power is added
  std::string caption; ///< the power is added
  std::string unit;
  /// Of a solved condition; all have the same labels, NaN where a condition has no such segment.
  std::function<std::vector<StackSegment>(const Outcome&)> segments;
};

/// A figure per listed power, one at a time, and a table of all conditions. "" when no condition
/// has a segment.
[[nodiscard]] std::string stacks_html(const PageResults& results, const StackPart& part);

} // namespace tiltfin
