#include "post/text/table_text.hpp"

#include "post/text/printable.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string_view>
#include <system_error>

namespace tiltfin {
namespace {

constexpr int page_width = 100;

/// What a spreadsheet would compute instead of show. A plain number is none, and neither is a sign
/// alone.
bool looks_like_formula(const std::string& text) {
  constexpr std::string_view first = "=+-@\t\r";
  if (text.size() < 2 || first.find(text[0]) == std::string_view::npos) {
    return false;
  }
  double value = 0.0;
  const char* end = text.data() + text.size();
  const std::size_t sign = text[0] == '+' ? 1 : 0;
  const auto [stop, fault] = std::from_chars(text.data() + sign, end, value);
  return fault != std::errc() || stop != end;
}

/// Cuts long names so that rows keep to the page.
std::string shortened(const std::string& text, std::size_t width) {
  return text.size() <= width ? text : text.substr(0, width - 1) + "~";
}

} // namespace

std::string row_head(const std::string& panel, const std::string& orientation) {
  return fmt::format("  {:<19} {:<13}", shortened(panel, 19), shortened(orientation, 13));
}

std::string with_error(double value, double error) {
  if (!std::isfinite(value)) {
    return "-";
  }
  if (!std::isfinite(error)) {
    return fmt::format("{:.1f}", value);
  }
  return error >= 0.095 ? fmt::format("{:.1f} ±{:.1f}", value, error)
                        : fmt::format("{:.2f} ±{:.2f}", value, std::max(error, 0.01));
}

std::string number_or_dash(double value, int decimals) {
  return std::isfinite(value) ? fmt::format("{:.{}f}", value, decimals) : "-";
}

std::string wrapped(const std::string& first, const std::string& text, int indent) {
  std::string result;
  std::string line = first;
  std::size_t position = 0;
  bool line_has_words = false;
  while (position < text.size()) {
    const std::size_t end = std::min(text.find(' ', position), text.size());
    const std::string word = text.substr(position, end - position);
    if (line_has_words && static_cast<int>(line.size() + 1 + word.size()) > page_width) {
      result += line + "\n";
      line = std::string(indent, ' ');
      line_has_words = false;
    }
    line += (line_has_words ? " " : "") + word;
    line_has_words = true;
    position = end + 1;
  }
  return result + line + "\n";
}

std::string csv_text(const std::string& original) {
  std::string text = printable(original);
  if (looks_like_formula(text)) {
    text.insert(text.begin(), '\'');
  }
  if (text.find_first_of(",\"\r\n") == std::string::npos) {
    return text;
  }
  std::string quoted = "\"";
  for (const char c : text) {
    quoted += c;
    if (c == '"') {
      quoted += c;
    }
  }
  return quoted + "\"";
}

std::string csv_value(double value) {
  return std::isfinite(value) ? fmt::format("{:.9g}", value) : "";
}

std::string csv_line(const std::vector<std::string>& cells) {
  return fmt::format("{}\n", fmt::join(cells, ","));
}

} // namespace tiltfin
