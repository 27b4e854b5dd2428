#pragma once
// What bench logs come to: a row per soak, a trend per panel state and orientation, their tables
// and their chart.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"
#include "post/fits/soak.hpp"
#include "post/fits/trend.hpp"
#include "post/numbers/model_range.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// One soak with what was read for it.
struct BenchRow {
  std::string panel;
  std::string orientation;
  std::string file;
  Soak soak;
  long long rows = 0; ///< of data in the file
  long long used = 0;
  long long outside = 0; ///< of the part of the file that was asked for
  long long missing = 0;
  long long bad = 0;
  long long bad_ambient = 0; ///< in the second log
  long long empty_minutes = 0;
  int minutes_per_mean = 1;
  std::vector<std::string> notes;
  std::vector<SoakMean> log{}; ///< some of its means, to draw
};

/// Trend of a panel state and orientation.
struct BenchTrend {
  std::string panel;
  std::string orientation;
  Trend trend;
  PowerLimit limit;
  Interval limit_95; ///< 95 % interval of the power limit [W]; NaN below three powers
  SoakStatus status = SoakStatus::settled; ///< of the worst soak
  Standing standing = Standing::sound;     ///< of the limit
  std::string doubt{};                     ///< reasons for it, in words
};

struct BenchContext {
  std::string title;
  CoreLimit core;
  bool is_at_base = false;
  bool fits_line = false;
  double metal_capacity_j_per_k = nan; ///< of the cooler; NaN: not known
};

/// Resistance between what was measured and the core [K/W]: none when the core was.
[[nodiscard]] double resistance_on_top(const BenchContext& context);

/// Best power limit first. Soaks without a rise do not take part; weights come from the intervals
/// of the rises. The limit is that of the fit.
[[nodiscard]] std::vector<BenchTrend> make_bench_trends(std::span<const BenchRow> rows,
                                                        const BenchContext& context);

[[nodiscard]] std::string bench_table(std::span<const BenchRow> rows,
                                      std::span<const BenchTrend> trends,
                                      const BenchContext& context);
[[nodiscard]] std::string bench_csv(std::span<const BenchRow> rows);
[[nodiscard]] std::string bench_trend_csv(std::span<const BenchTrend> trends);
[[nodiscard]] std::string bench_json(std::span<const BenchRow> rows,
                                     std::span<const BenchTrend> trends,
                                     const BenchContext& context);

/// Rise against power with error bars (95 %), fits and their bands.
[[nodiscard]] std::string bench_chart(std::span<const BenchRow> rows,
                                      std::span<const BenchTrend> trends,
                                      const BenchContext& context);

} // namespace tiltfin
