#include "post/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

constexpr int page_width = 100;

constexpr std::array<const char*, 3> cautions{
    "A cooler may be hot enough to burn long before it fails, and stays hot after switching off.",
    "Work on mains-powered equipment is for those licensed to do it; local codes apply.",
    "The chip maker's limits prevail over any power limit in this table."};

constexpr const char* caution_of_solves =
    "The section is plane and the air laminar; the documentation says what that leaves out. "
    "Measure before you rely on a number.";

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

std::string show_exponent(const Trend& trend) {
  if (trend.n_points > 2) {
    return fmt::format("{:.3f} ({:.2f} to {:.2f})", trend.exponent, trend.exponent_low,
                       trend.exponent_high);
  }
  if (trend.n_points == 2) {
    return fmt::format("{:.3f}", trend.exponent);
  }
  return trend.n_points == 1 ? "1 (assumed)" : "-";
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

std::string short_cautions() {
  std::string text = "Cautions\n";
  for (const char* caution : cautions) {
    text += wrapped("  ", caution, 4);
  }
  return text;
}

std::string solve_cautions() {
  return short_cautions() + wrapped("  ", caution_of_solves, 4);
}

std::string csv_text(const std::string& text) {
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
