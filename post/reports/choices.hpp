#pragma once
// What a choice is worth in power, as sentences: how the machine stands, how the cooler is
// finished.

#include "post/reports/trend_row.hpp"

#include <span>
#include <string>

namespace tiltfin {

/// One sentence per panel state, compared with upright, or with its best where upright is missing.
/// Empty where no panel state has several orientations.
[[nodiscard]] std::string turning_costs(std::span<const TrendRow> trends);

/// One sentence per panel state on its finishes, and which of finish and orientation moves the
/// power limit more. Trends stand best limit first; empty where no panel state has several
/// finishes.
[[nodiscard]] std::string finish_worth(std::span<const TrendRow> trends);

} // namespace tiltfin
