#include "cases/bench/log_part.hpp"

#include "cases/input/input_error.hpp"
#include "cases/input/number_text.hpp"

#include <fmt/format.h>

#include <optional>

namespace tiltfin {
namespace {

[[noreturn]] void refuse_part(const std::string& text, const std::string& allowed) {
  throw InputError(fmt::format("--part: found '{}', allowed {}", text, allowed));
}

/// One number of a part, held to the bounds of its key; none where nothing stands.
std::optional<double> number_of_part(const std::string& text, const std::string& number,
                                     const std::string& key) {
  if (number.empty()) {
    return std::nullopt;
  }
  const Bounds& bounds = bounds_of(part_of_log_keys(), key);
  const std::optional<double> value = number_of_text(number);
  if (!value || !is_within(bounds, *value)) {
    refuse_part(text, fmt::format("FROM:TO=WATTS in minutes and W, such as 0:120=10, with {} {}",
                                  key, in_words(bounds)));
  }
  return value;
}

} // namespace

BenchSoak part_of_log(const std::string& text, BenchSoak log) {
  const std::size_t colon = text.find(':');
  if (colon == std::string::npos) {
    refuse_part(text, "FROM:TO=WATTS in minutes and W, such as 0:120=10");
  }
  const std::size_t sign = text.find('=', colon);
  const std::string to =
      text.substr(colon + 1, sign == std::string::npos ? sign : sign - colon - 1);
  LogMapping& mapping = log.mapping;
  log.is_part = true;
  mapping.from_min = number_of_part(text, text.substr(0, colon), "from_min").value_or(0.0);
  mapping.to_min = number_of_part(text, to, "to_min");
  if (mapping.to_min && *mapping.to_min <= mapping.from_min) {
    refuse_part(text, "an end after the beginning");
  }
  if (sign != std::string::npos) {
    const std::optional<double> power = number_of_part(text, text.substr(sign + 1), "power_w");
    if (!power) {
      refuse_part(text, "a power in W behind =");
    }
    mapping.power_w = *power;
    mapping.power.clear();
  }
  if (mapping.power.empty() && mapping.power_w == 0.0) {
    refuse_part(text, "a power, =WATTS behind it, or --power-w or --power for all");
  }
  return log;
}

} // namespace tiltfin
