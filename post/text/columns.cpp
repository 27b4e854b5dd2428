#include "post/text/columns.hpp"

#include <fmt/format.h>

#include <limits>

namespace tiltfin {

std::string csv_cell(long long value) {
  return fmt::format("{}", value);
}

void read_value(const Json& json, int& value) {
  const std::int64_t whole = json.whole_number();
  if (whole < std::numeric_limits<int>::min() || whole > std::numeric_limits<int>::max()) {
    throw JsonError(fmt::format("found {}, allowed a number of 32 bits", whole));
  }
  value = static_cast<int>(whole);
}

void read_value(const Json& json, std::vector<std::string>& texts) {
  texts.clear();
  for (const Json& item : json.items()) {
    texts.push_back(item.text());
  }
}

void refuse_word(const std::string& found, const std::vector<std::string>& allowed) {
  throw JsonError(fmt::format("found '{}', allowed {}", found, fmt::join(allowed, ", ")));
}

} // namespace tiltfin
