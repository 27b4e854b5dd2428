#include "cases/logs/log_layout.hpp"

#include "cases/input/input_error.hpp"
#include "cases/input/toml_reader.hpp"
#include "cases/logs/csv_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace tiltfin {
namespace {

/// The number that names a column, from 1; 0 when it is not one.
int column_number(const std::string& name) {
  const bool is_number =
      !name.empty() && name.size() < 5 &&
      std::ranges::all_of(name, [](unsigned char c) { return std::isdigit(c) != 0; });
  return is_number ? std::stoi(name) : 0;
}

/// Place of a column in a heading; -1 when it is not there.
int place_in(const std::vector<std::string>& heading, const std::string& name) {
  auto found = std::ranges::find(heading, name);
  if (found == heading.end()) {
    found = std::ranges::find_if(
        heading, [&](const auto& cell) { return lower_case(cell) == lower_case(name); });
  }
  return found == heading.end() ? -1 : static_cast<int>(found - heading.begin());
}

/// How many columns of a heading `place_in` might have meant.
int count_in(const std::vector<std::string>& heading, const std::string& name) {
  const auto exact = std::ranges::count(heading, name);
  const auto any_case = std::ranges::count_if(
      heading, [&](const auto& cell) { return lower_case(cell) == lower_case(name); });
  return static_cast<int>(exact > 0 ? exact : any_case);
}

void check_heading(const std::string& path, const CsvRow& row,
                   const std::vector<std::string>& names) {
  constexpr long long most_lines = 3;
  if (row.line - row.first_line >= most_lines) {
    throw InputError(fmt::format("{}:{}: found a heading that goes on to line {}, allowed at most "
                                 "{} lines (is there a quote that is not closed?)",
                                 path, row.first_line, row.line, most_lines));
  }
  for (const std::string& name : names) {
    if (column_number(name) == 0 && count_in(row.cells, name) > 1) {
      throw InputError(fmt::format("{}:{}: found {} columns '{}', allowed one of that name, or the "
                                   "column's number from 1 in place of it",
                                   path, row.line, count_in(row.cells, name), name));
    }
  }
}

std::vector<CsvRow> first_rows(const std::string& path, char delimiter) {
  CsvReader reader(path, delimiter);
  std::vector<CsvRow> rows;
  CsvRow row;
  while (rows.size() < heading_rows && reader.next(row)) {
    rows.push_back(row);
  }
  return rows;
}

/// The row that holds every column named in letters; null when there is none.
const CsvRow* find_heading(const std::vector<CsvRow>& rows, const std::vector<std::string>& names,
                           LogLayout& layout) {
  for (const CsvRow& row : rows) {
    std::vector<int> columns;
    bool any_named = false;
    for (const std::string& name : names) {
      const int number = column_number(name);
      const int place = number > 0 ? number - 1 : place_in(row.cells, name);
      any_named = any_named || (number == 0 && place >= 0);
      columns.push_back(place);
    }
    if (any_named && std::ranges::all_of(columns, [](int place) { return place >= 0; })) {
      layout.heading_line = row.line;
      layout.heading = row.cells;
      layout.columns = columns;
      layout.width = row.cells.size();
      return &row;
    }
  }
  return nullptr;
}

/// Cells that most of the first rows have.
std::size_t usual_width(const std::vector<CsvRow>& rows) {
  std::vector<std::size_t> widths;
  widths.reserve(rows.size());
  for (const CsvRow& row : rows) {
    widths.push_back(row.cells.size());
  }
  std::ranges::sort(widths);
  return widths.empty() ? 0 : widths[widths.size() / 2];
}

[[noreturn]] void refuse_columns(const std::string& path, const std::vector<CsvRow>& rows,
                                 const std::vector<std::string>& names) {
  const auto widest =
      std::ranges::max_element(rows, {}, [](const CsvRow& row) { return row.cells.size(); });
  std::string missing;
  for (const std::string& name : names) {
    if (missing.empty() && column_number(name) == 0 && place_in(widest->cells, name) < 0) {
      missing = name;
    }
  }
  throw InputError(fmt::format(
      "{}:{}: found no column '{}' in the first {} rows, allowed those of the heading: {}; nearest "
      "{}",
      path, widest->line, missing, heading_rows, join(widest->cells),
      nearest(missing, widest->cells)));
}

} // namespace

std::string lower_case(std::string text) {
  std::ranges::transform(text, text.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

LogLayout find_layout(const std::string& path, std::optional<char> delimiter,
                      const std::vector<std::string>& names) {
  const std::vector<char> delimiters =
      delimiter ? std::vector<char>{*delimiter} : std::vector<char>{';', '\t', ',', '|'};
  LogLayout best;
  std::vector<CsvRow> best_rows;
  std::size_t best_width = 0;
  for (const char candidate : delimiters) {
    LogLayout layout;
    layout.delimiter = candidate;
    const std::vector<CsvRow> rows = first_rows(path, candidate);
    if (rows.empty()) {
      throw InputError(path + ":1: found an empty file, allowed a log with rows of numbers");
    }
    if (const CsvRow* heading = find_heading(rows, names, layout)) {
      check_heading(path, *heading, names);
      return layout;
    }
    if (usual_width(rows) > best_width) {
      best_width = usual_width(rows);
      best.delimiter = candidate;
      best.width = best_width;
      best_rows = rows;
    }
  }
  for (const std::string& name : names) {
    best.columns.push_back(column_number(name) - 1);
  }
  if (std::ranges::any_of(best.columns, [](int place) { return place < 0; })) {
    refuse_columns(path, best_rows, names);
  }
  return best;
}

} // namespace tiltfin
