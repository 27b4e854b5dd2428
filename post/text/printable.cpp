#include "post/text/printable.hpp"

#include <algorithm>
#include <cstddef>

namespace tiltfin {
namespace {

/// The first code point of a text.
struct CodePoint {
  char32_t value = 0;
  std::size_t n_bytes = 1;
  bool is_valid = false;
};

CodePoint first_code_point(std::string_view text) {
  const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const unsigned lead = byte(0);
  if (lead < 0x80) {
    return {lead, 1, true};
  }
  const std::size_t n = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < n) {
    return {};
  }
  char32_t value = lead & (0xFFU >> (n + 1));
  for (std::size_t k = 1; k < n; ++k) {
    if ((byte(k) & 0xC0U) != 0x80U) {
      return {};
    }
    value = (value << 6U) | (byte(k) & 0x3FU);
  }
  const bool is_overlong = (n == 3 && value < 0x800) || (n == 4 && value < 0x10000);
  const bool is_surrogate = value >= 0xD800 && value <= 0xDFFF;
  return {value, n, !is_overlong && !is_surrogate && value <= 0x10FFFF};
}

bool is_shown(char32_t c) {
  const auto within = [c](char32_t low, char32_t high) { return c >= low && c <= high; };
  const bool is_control = c < 0x20 || within(0x7F, 0x9F);
  const bool turns_writing =
      within(0x200E, 0x200F) || within(0x202A, 0x202E) || within(0x2066, 0x2069) || c == 0x061C;
  const bool separates_lines = within(0x2028, 0x2029);
  const bool is_none = (c & 0xFFFEU) == 0xFFFE || within(0xFDD0, 0xFDEF);
  return !is_control && !turns_writing && !separates_lines && !is_none;
}

} // namespace

std::string printable(std::string_view text) {
  std::string clean;
  while (!text.empty()) {
    const CodePoint c = first_code_point(text);
    if (c.is_valid && (is_shown(c.value) || c.value == U'\n')) {
      clean += text.substr(0, c.n_bytes);
    } else {
      clean += "\xEF\xBF\xBD";
    }
    text.remove_prefix(c.is_valid ? c.n_bytes : 1);
  }
  return clean;
}

bool is_printable(std::string_view text) {
  return text.find('\n') == std::string_view::npos && printable(text) == text;
}

} // namespace tiltfin
