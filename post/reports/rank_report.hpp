#pragma once
// Several coolers in the same conditions: power limits beside metal, and which to take.

#include "post/reports/report.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// A panel state and orientation with its share of the whole.
struct RankColumn {
  std::string panel;
  std::string orientation;
  double share = 0.0;
};

struct RankedCooler {
  std::string name; ///< of its case file or directory
  std::string title;
  double mass_kg = 0.0; ///< NaN: not described
  double volume_m3 = 0.0;
  double density_kg_per_m3 = 0.0;
  std::vector<SolvedLimit> limits; ///< by column
};

struct RankReport {
  CoreLimit core;
  std::string weights_text;
  std::vector<RankColumn> columns;
  std::vector<RankedCooler> coolers; ///< best weighted limit first once `sort_coolers` has run
  std::vector<std::string> notes;    ///< in what the cases differ beside the cooler, and the like
};

/// Weighted mean of a cooler's limits over the columns; NaN when one that counts has none.
[[nodiscard]] SolvedLimit weighted_limit(const RankReport& report, const RankedCooler& cooler);

/// The cooler with a column's highest limit; none when no cooler has one.
[[nodiscard]] std::optional<std::size_t> best_in(const RankReport& report, std::size_t column);

/// What is wrong with limits, a sentence each.
[[nodiscard]] std::vector<std::string> doubts_of_limits(const RankReport& report);

void sort_coolers(RankReport& report);

/// Those that the printed table and the chart show, in order: all, or of many the first and the
/// best of every column.
[[nodiscard]] std::vector<std::size_t> shown_coolers(const RankReport& report);

/// Which cooler to take and by what margin, or between which it is too close to call.
[[nodiscard]] std::string recommendation(const RankReport& report);

[[nodiscard]] std::string rank_table(const RankReport& report);
[[nodiscard]] std::string rank_csv(const RankReport& report);
[[nodiscard]] std::string rank_json(const RankReport& report);

/// Bars with error bars, a group per panel state and orientation.
[[nodiscard]] std::string rank_chart(const RankReport& report);

} // namespace tiltfin
