#pragma once
// From outcomes to trends, and the readable table of both on stdout.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/trend_row.hpp"

#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// What the tables say about the case as a whole.
struct ReportContext {
  std::string title;
  CoreLimit core;
  double metal_capacity_j_per_k = nan; ///< of the cooler; NaN: not known
  std::vector<std::string> notes;      ///< sentences printed under the table
};

/// The power to solve next, so that solved powers come to lie close on either side of the limit,
/// from the outcomes of one panel state and orientation; nothing when no more are needed or none
/// can help (post/fits/limit_bracket).
[[nodiscard]] std::optional<double> next_power_w(std::span<const Outcome* const> group,
                                                 const CoreLimit& core);

/// One row per panel state and orientation, best power limit first.
[[nodiscard]] std::vector<TrendRow> make_trends(std::span<const Outcome> outcomes,
                                                const ReportContext& context);

/// Readable table, best orientation first, then one plain sentence per panel state on what turning
/// costs ("flat-up: 47 % less power than upright"), warnings, and the cautions.
[[nodiscard]] std::string readable_table(std::span<const Outcome> all,
                                         std::span<const TrendRow> trends,
                                         const ReportContext& context);

} // namespace tiltfin
