#include "cases/logs/log_clock.hpp"

#include "cases/logs/log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

namespace tiltfin {
namespace {

constexpr double day_s = 86400.0;

/// Seconds in a unit of time; 0 for a word that is none.
double seconds_in(const std::string& unit) {
  struct Unit {
    const char* word;
    double seconds;
  };
  constexpr std::array<Unit, 15> units{{{"ms", 1e-3},
                                        {"millisecond", 1e-3},
                                        {"milliseconds", 1e-3},
                                        {"s", 1.0},
                                        {"sec", 1.0},
                                        {"secs", 1.0},
                                        {"second", 1.0},
                                        {"seconds", 1.0},
                                        {"min", 60.0},
                                        {"mins", 60.0},
                                        {"minute", 60.0},
                                        {"minutes", 60.0},
                                        {"h", 3600.0},
                                        {"hour", 3600.0},
                                        {"hours", 3600.0}}};
  const auto* found = std::ranges::find_if(units, [&](const Unit& u) { return unit == u.word; });
  return found == units.end() ? 0.0 : found->seconds;
}

/// The unit that a heading like "Time (min)" or "t_s" ends in; 0 when it shows none.
double seconds_in_heading(const std::string& heading) {
  std::string word;
  double seconds = 0.0;
  for (const char c : lower_case(heading) + " ") {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += c;
    } else if (!word.empty()) {
      seconds = seconds_in(word);
      word.clear();
    }
  }
  return seconds;
}

} // namespace

LogClock::LogClock(const std::string& unit, const LogLayout& layout) {
  if (unit == "stamp") {
    seconds_ = 0.0;
    is_known_ = true;
  } else if (!unit.empty()) {
    seconds_ = seconds_in(unit);
    is_known_ = true;
  } else if (!layout.heading.empty()) {
    seconds_ = seconds_in_heading(layout.heading[static_cast<std::size_t>(layout.columns[0])]);
  }
}

std::optional<double> LogClock::read(const std::string& text) {
  if (!is_known_) {
    if (parse_time_stamp(text)) {
      seconds_ = 0.0;
    } else if (!parse_number(text)) {
      return std::nullopt;
    } else if (seconds_ == 0.0) {
      seconds_ = 1.0;
      is_assumed_ = true;
    }
    is_known_ = true;
  }
  if (seconds_ > 0.0) {
    const std::optional<double> number = parse_number(text);
    return number ? std::optional<double>(*number * seconds_) : std::nullopt;
  }
  const std::optional<TimeStamp> stamp = parse_time_stamp(text);
  if (!stamp) {
    return std::nullopt;
  }
  if (!stamp->has_date && stamp->seconds + midnights_ * day_s < last_ - 0.5 * day_s) {
    midnights_ += 1.0;
  }
  const double seconds = stamp->seconds + (stamp->has_date ? 0.0 : midnights_ * day_s);
  last_ = seconds;
  return seconds;
}

std::string LogClock::describe() const {
  if (is_stamp()) {
    return "time stamps";
  }
  const char* unit = seconds_ == 1.0 ? "seconds" : seconds_ == 60.0 ? "minutes" : "hours";
  return fmt::format("{}{}", seconds_ < 1.0 ? "milliseconds" : unit,
                     is_assumed_ ? " (assumed)" : "");
}

} // namespace tiltfin
