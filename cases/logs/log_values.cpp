#include "cases/logs/log_values.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <chrono>
#include <cmath>
#include <string>

namespace tiltfin {
namespace {

/// Takes characters off the front of a text.
class Scanner {
public:
  explicit Scanner(std::string_view text) : left_(text) {}

  [[nodiscard]] bool is_at_end() const { return left_.empty(); }
  [[nodiscard]] std::string_view left() const { return left_; }
  [[nodiscard]] char peek() const { return left_.empty() ? '\0' : left_.front(); }

  bool take(char wanted) {
    const bool found = peek() == wanted && !left_.empty();
    left_.remove_prefix(found ? 1 : 0);
    return found;
  }

  /// A whole number of `fewest` to `most` digits; -1 when there is none.
  int take_digits(std::size_t fewest, std::size_t most) {
    std::size_t n = 0;
    int value = 0;
    while (n < most && n < left_.size() && std::isdigit(static_cast<unsigned char>(left_[n]))) {
      value = 10 * value + (left_[n] - '0');
      ++n;
    }
    if (n < fewest) {
      return -1;
    }
    left_.remove_prefix(n);
    return value;
  }

  /// Digits behind a decimal point or comma, as a part of one.
  double take_fraction() {
    if (!take('.') && !take(',')) {
      return 0.0;
    }
    double value = 0.0;
    double scale = 1.0;
    for (int digit = take_digits(1, 1); digit >= 0; digit = take_digits(1, 1)) {
      scale *= 0.1;
      value += scale * digit;
    }
    return value;
  }

private:
  std::string_view left_;
};

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front()))) {
    text.remove_prefix(1);
  }
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back()))) {
    text.remove_suffix(1);
  }
  return text;
}

std::optional<double> days_since_1970(int year, int month, int day) {
  const std::chrono::year_month_day date{std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day))};
  if (month < 1 || day < 1 || !date.ok()) {
    return std::nullopt;
  }
  return static_cast<double>(std::chrono::sys_days(date).time_since_epoch().count());
}

/// The date at the front of a stamp, year first or day first; none when there is none.
std::optional<double> take_date(Scanner& scanner) {
  Scanner trial = scanner;
  int year = trial.take_digits(4, 4);
  int month = -1;
  int day = -1;
  if (year >= 0 && (trial.peek() == '-' || trial.peek() == '/')) {
    const char separator = trial.peek();
    (void)trial.take(separator);
    month = trial.take_digits(1, 2);
    day = trial.take(separator) ? trial.take_digits(1, 2) : -1;
  } else {
    trial = scanner;
    day = trial.take_digits(1, 2);
    month = trial.take('.') ? trial.take_digits(1, 2) : -1;
    year = trial.take('.') ? trial.take_digits(4, 4) : -1;
  }
  if (year < 0 || month < 0 || day < 0) {
    return std::nullopt;
  }
  scanner = trial;
  return days_since_1970(year, month, day);
}

/// Seconds since midnight from hh:mm or hh:mm:ss; none when it is not one.
std::optional<double> take_time(Scanner& scanner) {
  const int hour = scanner.take_digits(1, 2);
  const int minute = scanner.take(':') ? scanner.take_digits(2, 2) : -1;
  if (hour < 0 || hour > 24 || minute < 0 || minute > 59) {
    return std::nullopt;
  }
  double seconds = 3600.0 * hour + 60.0 * minute;
  if (scanner.take(':')) {
    const int second = scanner.take_digits(2, 2);
    if (second < 0 || second > 60) {
      return std::nullopt;
    }
    seconds += second + scanner.take_fraction();
  }
  return seconds;
}

/// Seconds that a zone is ahead of universal time; none for what is not a zone.
std::optional<double> take_zone(Scanner& scanner) {
  if (scanner.take('Z') || scanner.is_at_end()) {
    return 0.0;
  }
  const double sign = scanner.peek() == '-' ? -1.0 : 1.0;
  if (!scanner.take('+') && !scanner.take('-')) {
    return std::nullopt;
  }
  const int hours = scanner.take_digits(2, 2);
  (void)scanner.take(':');
  const int minutes = scanner.is_at_end() ? 0 : scanner.take_digits(2, 2);
  if (hours < 0 || hours > 14 || minutes < 0 || minutes > 59) {
    return std::nullopt;
  }
  return sign * (3600.0 * hours + 60.0 * minutes);
}

} // namespace

std::optional<double> parse_number(std::string_view text) {
  std::string digits(trimmed(text));
  const auto commas = std::ranges::count(digits, ',');
  if (commas > 1 || (commas == 1 && digits.find('.') != std::string::npos)) {
    return std::nullopt;
  }
  std::ranges::replace(digits, ',', '.');
  const std::size_t sign = digits.starts_with('+') && !digits.starts_with("+-") ? 1 : 0;
  double value = 0.0;
  const char* end = digits.data() + digits.size();
  const std::from_chars_result result = std::from_chars(digits.data() + sign, end, value);
  if (result.ec != std::errc() || result.ptr != end || !std::isfinite(value)) {
    return std::nullopt;
  }
  return value;
}

bool is_missing(std::string_view text) {
  constexpr std::array<std::string_view, 9> words{"",     "-",    "--", "---", "nan",
                                                  "null", "none", "na", "n/a"};
  std::string word(trimmed(text));
  std::ranges::transform(word, word.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return std::ranges::find(words, word) != words.end();
}

std::optional<TimeStamp> parse_time_stamp(std::string_view text) {
  Scanner scanner(trimmed(text));
  TimeStamp stamp;
  if (const std::optional<double> days = take_date(scanner)) {
    stamp.has_date = true;
    stamp.seconds = 86400.0 * *days;
    if (!scanner.take('T') && !scanner.take(' ')) {
      return std::nullopt;
    }
    while (scanner.take(' ')) {
    }
  }
  const std::optional<double> time = take_time(scanner);
  if (!time) {
    return std::nullopt;
  }
  while (scanner.take(' ')) {
  }
  const std::optional<double> zone = take_zone(scanner);
  if (!zone || !scanner.is_at_end()) {
    return std::nullopt;
  }
  stamp.seconds += *time - *zone;
  return stamp;
}

} // namespace tiltfin
