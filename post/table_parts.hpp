#pragma once
// Pieces that the readable tables and the csv files of solves and of bench logs share.

#include "post/trend.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// First two columns of every readable table, cut to their width.
[[nodiscard]] std::string row_head(const std::string& panel, const std::string& orientation);

/// "41.3 ±0.5"; an error below a hundredth is shown as a hundredth, "-" stands for no value.
[[nodiscard]] std::string with_error(double value, double error);

/// A value with this many decimals, "-" where it is not finite.
[[nodiscard]] std::string number_or_dash(double value, int decimals);

/// Exponent of a power law with its 95 % interval: "0.842 (0.80 to 0.88)" from three points on;
/// "1 (assumed)" from one, "-" from none.
[[nodiscard]] std::string show_exponent(const Trend& trend);

/// Words of `text` in lines of the page's width, each after `indent` blanks, the first after
/// `first`.
[[nodiscard]] std::string wrapped(const std::string& first, const std::string& text, int indent);

/// The cautions that every table ends with, under their heading.
[[nodiscard]] std::string short_cautions();

/// The same, and what solved conditions leave out.
[[nodiscard]] std::string solve_cautions();

/// A text as a cell, quoted where it must be; a number, empty when it is not finite.
[[nodiscard]] std::string csv_text(const std::string& text);
[[nodiscard]] std::string csv_value(double value);
[[nodiscard]] std::string csv_line(const std::vector<std::string>& cells);

} // namespace tiltfin
