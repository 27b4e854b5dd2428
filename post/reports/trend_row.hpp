#pragma once
// Rise against power of one panel state and orientation, as a row of a table.

#include "post/fits/trend.hpp"

#include <string>

namespace tiltfin {

/// One row of trend.csv.
struct TrendRow {
  std::string panel;
  std::string orientation;
  std::string finish; ///< of the cooler, where several are compared; the panel's name ends in it
  Trend trend;
  PowerLimit limit;
  double power_limit_error_w = 0.0; ///< from the discretisation-error estimate of the rise
  std::string status;               ///< "converged", or the worst status among its conditions
  bool skips_stability = false;     ///< the stability of one of its steady states was skipped
};

} // namespace tiltfin
