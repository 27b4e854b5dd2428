#pragma once
// Pieces that readable tables and csv files share.

#include <string>
#include <vector>

namespace tiltfin {

/// First two columns of every readable table, cut to their width.
[[nodiscard]] std::string row_head(const std::string& panel, const std::string& orientation);

/// "41.3 ±0.5"; an error below a hundredth is shown as a hundredth, "-" stands for no value.
[[nodiscard]] std::string with_error(double value, double error);

/// A value with this many decimals, "-" where it is not finite.
[[nodiscard]] std::string number_or_dash(double value, int decimals);

/// Words of `text` in lines of the page's width, each after `indent` blanks, the first after
/// `first`.
[[nodiscard]] std::string wrapped(const std::string& first, const std::string& text, int indent);

/// A text as a cell, printable, quoted where it must be, and with ' before what a spreadsheet would
/// take for a formula (it begins with = + - or @ and is no number); a number, empty when it is not
/// finite.
[[nodiscard]] std::string csv_text(const std::string& text);
[[nodiscard]] std::string csv_value(double value);
[[nodiscard]] std::string csv_line(const std::vector<std::string>& cells);

} // namespace tiltfin
