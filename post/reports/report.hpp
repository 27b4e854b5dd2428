#pragma once
// Tables: summary.csv, summary.json, trend.csv, and the readable table on stdout.

#include "post/numbers/outcome.hpp"
#include "post/reports/trend_row.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// What the tables say about the case as a whole.
struct ReportContext {
  std::string title;
  double room_temperature_c = 25.0;
  double limit_temperature_c = 100.0;
  double die_to_base_k_per_w = 0.0;
  std::vector<std::string> notes; ///< sentences printed under the table
};

/// One row per panel state and orientation, best power limit first.
[[nodiscard]] std::vector<TrendRow> make_trends(std::span<const Outcome> outcomes,
                                                const ReportContext& context);

[[nodiscard]] std::string summary_csv(std::span<const Outcome> outcomes);
[[nodiscard]] std::string summary_json(std::span<const Outcome> outcomes,
                                       std::span<const TrendRow> trends,
                                       const ReportContext& context);
[[nodiscard]] std::string trend_csv(std::span<const TrendRow> trends);

/// Readable table, best orientation first, then one plain sentence per panel state on what turning
/// costs ("flat-up: 47 % less power than upright"), warnings, and the cautions.
[[nodiscard]] std::string readable_table(std::span<const Outcome> outcomes,
                                         std::span<const TrendRow> trends,
                                         const ReportContext& context);

/// An outcome as one JSON object and back, so that an interrupted run can go on.
[[nodiscard]] std::string outcome_to_json(const Outcome& outcome);
/// Throws std::runtime_error when the text is not such an object.
[[nodiscard]] Outcome outcome_from_json(const std::string& text);

} // namespace tiltfin
