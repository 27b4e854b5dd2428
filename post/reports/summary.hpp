#pragma once
// The files of solved conditions, and what is read back of them: summary.csv, summary.json,
// trend.csv, heat.csv, fan.csv, and one JSON file per condition.

#include "post/fits/comparison.hpp"
#include "post/reports/report.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

[[nodiscard]] std::string summary_csv(std::span<const Outcome> outcomes);
[[nodiscard]] std::string summary_json(std::span<const Outcome> outcomes,
                                       std::span<const TrendRow> trends,
                                       const ReportContext& context);

/// What a summary.json says of itself: it changes when a key is removed, renamed or means something
/// else, not when one is added.
inline constexpr int summary_version = 1;

/// The JSON schema of summary.json. Made from the columns that write it.
[[nodiscard]] std::string summary_schema();

/// Where the heat of every condition goes (post/numbers/heat_budget).
[[nodiscard]] std::string heat_csv(std::span<const Outcome> outcomes);
/// The sections that stand for a ring (FanRow); the head alone where there is no fan.
[[nodiscard]] std::string fan_csv(std::span<const Outcome> outcomes);
[[nodiscard]] std::string trend_csv(std::span<const TrendRow> trends);

/// Reads the text of a summary.json: the conditions that were solved. Throws std::runtime_error for
/// another text.
[[nodiscard]] Computed read_summary(const std::string& text);

/// All that a summary.json holds of its conditions and its case.
struct SolvedResults {
  std::vector<Outcome> outcomes;
  ReportContext context;
};
/// Throws std::runtime_error for another text.
[[nodiscard]] SolvedResults read_solved(const std::string& text);

/// An outcome as one JSON object and back, so that an interrupted run can go on.
[[nodiscard]] std::string outcome_to_json(const Outcome& outcome);
/// Throws std::runtime_error when the text is not such an object.
[[nodiscard]] Outcome outcome_from_json(const std::string& text);

} // namespace tiltfin
