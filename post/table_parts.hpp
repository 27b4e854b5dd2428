#pragma once
// Pieces that the readable tables and the csv files of solves and of bench logs share.

#include "post/trend.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// First two columns of every readable table, cut to their width.
[[nodiscard]] std::string row_head(const std::string& panel, const std::string& orientation);

/// "41.3 ±0.5"; an error below a hundredth is shown as a hundredth, "-" stands for no value.
[[nodiscard]] std::string with_error(double value, double error);

/// Words of `text` in lines of the page's width, each after `indent` blanks, the first after
/// `first`.
[[nodiscard]] std::string wrapped(const std::string& first, const std::string& text, int indent);

/// The cautions that every table ends with, under their heading.
[[nodiscard]] std::string short_cautions();

/// One sentence per panel state, compared with upright, or with its best where upright is missing.
[[nodiscard]] std::string turning_costs(std::span<const TrendRow> trends);

/// A text as a cell, quoted where it must be; a number, empty when it is not finite.
[[nodiscard]] std::string csv_text(const std::string& text);
[[nodiscard]] std::string csv_value(double value);
[[nodiscard]] std::string csv_line(const std::vector<std::string>& cells);

} // namespace tiltfin
