#pragma once
// What a choice is worth in power, as sentences: how the machine stands, how the cooler is
// finished.

#include "post/reports/trend_row.hpp"

#include <span>
#include <string>

namespace tiltfin {

/// The power limit of a panel state and orientation [W]; NaN: none.
struct TurnedLimit {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
};

/// One sentence per panel state, compared with upright, or with its first where upright is missing.
/// Empty where no panel state has several orientations. Limits stand best first.
[[nodiscard]] std::string turning_costs(std::span<const TurnedLimit> limits);

/// One sentence per panel state on its finishes, and which of finish and orientation moves the
/// power limit more. Trends stand best limit first; empty where no panel state has several
/// finishes.
[[nodiscard]] std::string finish_worth(std::span<const TrendRow> trends);

} // namespace tiltfin
