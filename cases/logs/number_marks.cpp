#include "cases/logs/number_marks.hpp"

#include "cases/input/input_error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace tiltfin {
namespace {

bool is_digit(char c) {
  return std::isdigit(static_cast<unsigned char>(c)) != 0;
}

/// "1,010" or "-21,512": one to three digits, a comma, three digits.
bool may_be_thousands(const std::string& cell) {
  const std::size_t first = cell.find_first_of("0123456789");
  const std::size_t comma = cell.find(',');
  return first != std::string::npos && cell[first] != '0' && comma > first && comma - first <= 3 &&
         cell.size() == comma + 4 && std::ranges::all_of(cell.substr(comma + 1), is_digit);
}

} // namespace

void NumberMarks::First::take(const std::string& text, long long at) {
  if (line == 0) {
    cell = text;
    line = at;
  }
}

void NumberMarks::see(const std::string& cell, const std::string& path, long long line) {
  if (cell.find('.') != std::string::npos) {
    point_.take(cell, line);
  } else if (cell.find(',') == std::string::npos) {
    plain_.take(cell, line);
  } else {
    comma_.take(cell, line);
    if (!may_be_thousands(cell)) {
      decimal_.take(cell, line);
    }
  }
  if (point_.line > 0 && comma_.line > 0) {
    throw InputError(fmt::format("{}:{}: found '{}' in a column with '{}' (line {}), allowed one "
                                 "decimal mark in a column and no thousands separator",
                                 path, std::max(point_.line, comma_.line),
                                 point_.line > comma_.line ? point_.cell : comma_.cell,
                                 point_.line > comma_.line ? comma_.cell : point_.cell,
                                 std::min(point_.line, comma_.line)));
  }
}

void NumberMarks::check_thousands(const std::string& path) const {
  if (comma_.line > 0 && decimal_.line == 0 && plain_.line > 0) {
    throw InputError(fmt::format("{}:{}: found '{}' in a column with '{}' (line {}), which may be "
                                 "thousands or decimals, allowed numbers of which that is sure",
                                 path, comma_.line, comma_.cell, plain_.cell, plain_.line));
  }
}

} // namespace tiltfin
