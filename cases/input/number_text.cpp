#include "cases/input/number_text.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace tiltfin {

std::optional<double> number_of_text(std::string_view text) {
  if (text.starts_with('+') && !text.starts_with("+-")) {
    text.remove_prefix(1);
  }
  double value = 0.0;
  const char* end = text.data() + text.size();
  const auto [stop, fault] = std::from_chars(text.data(), end, value);
  if (fault != std::errc() || stop != end || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

std::string fault_in_number(const std::string& text, const Bounds& bounds) {
  const std::optional<double> value = number_of_text(text);
  if (value && is_within(bounds, *value)) {
    return "";
  }
  return fmt::format("found '{}', allowed {}", text, in_words(bounds));
}

} // namespace tiltfin
