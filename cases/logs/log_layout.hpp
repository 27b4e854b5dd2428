#pragma once
// Where the columns of a log stand: its delimiter, its heading and the columns asked for.

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

inline constexpr int heading_rows = 100; ///< a heading stands within these

/// Where a file's columns are.
struct LogLayout {
  char delimiter = ',';
  long long heading_line = 0; ///< 0: none, columns are given by number
  std::vector<std::string> heading;
  std::vector<int> columns; ///< one per name asked for
  std::size_t width = 0;    ///< cells of the heading; without one, of most of the first rows
};

/// Looks for the heading with every delimiter in question (that given, else ; tab , and |). Columns
/// are named as in the heading, case does not matter when there is no exact match, or by their
/// number from 1. Throws InputError when the file or a column is not there, when two columns have
/// the name asked for, and when the heading goes on over more than three lines (a quote left open).
[[nodiscard]] LogLayout find_layout(const std::string& path, std::optional<char> delimiter,
                                    const std::vector<std::string>& names);

[[nodiscard]] std::string lower_case(std::string text);

} // namespace tiltfin
