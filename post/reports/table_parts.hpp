#pragma once
// Pieces that the readable tables and the charts share.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"
#include "post/fits/trend.hpp"
#include "post/text/table_text.hpp"
#include "post/views/chart.hpp"

#include <string>

namespace tiltfin {

/// Exponent of a power law with its 95 % interval: "0.842 (0.80 to 0.88)" from three points on;
/// "1 (assumed)" from one, "-" from none.
[[nodiscard]] std::string show_exponent(const Trend& trend);

/// "41.3 ±0.5", see with_error(double, double).
[[nodiscard]] std::string with_error(const Estimate& estimate);

/// "58 %" of a share, "-" where it is not finite.
[[nodiscard]] std::string show_percent(double share);

/// "core" or "base": what a bench's sensors were at.
[[nodiscard]] const char* where_measured(bool is_at_base);

/// "at the core (0.3 K/W from core to base)"; without a resistance "at the base".
[[nodiscard]] std::string show_place(const CoreLimit& core);

/// Order of power limits: highest first, NaN last.
[[nodiscard]] bool is_better(double power_w, double other_w);

/// A point of a chart with its error bar.
[[nodiscard]] ChartPoint chart_point(double x, const Estimate& y, bool is_doubtful);

/// The cautions that every table ends with, under their heading.
[[nodiscard]] std::string short_cautions();

/// The same, and what solved conditions leave out.
[[nodiscard]] std::string solve_cautions();

} // namespace tiltfin
