#pragma once
// Pieces that the readable tables of solves and of bench logs share.

#include "post/fits/trend.hpp"
#include "post/text/table_text.hpp"

#include <string>

namespace tiltfin {

/// Exponent of a power law with its 95 % interval: "0.842 (0.80 to 0.88)" from three points on;
/// "1 (assumed)" from one, "-" from none.
[[nodiscard]] std::string show_exponent(const Trend& trend);

/// The cautions that every table ends with, under their heading.
[[nodiscard]] std::string short_cautions();

/// The same, and what solved conditions leave out.
[[nodiscard]] std::string solve_cautions();

} // namespace tiltfin
