#pragma once
// What stands in the cells of a log: numbers, time stamps, nothing.

#include <optional>
#include <string_view>

namespace tiltfin {

/// A number with a decimal point or a decimal comma ("23.5", "23,5", "+1e-3"); none for anything
/// else, for a number with both, and for one that is not finite. There is no thousands separator.
[[nodiscard]] std::optional<double> parse_number(std::string_view text);

/// True for a cell that says that there is no sample: empty, "-", "--", "---", "nan", "null",
/// "none", "na", "n/a", in any case.
[[nodiscard]] bool is_missing(std::string_view text);

struct TimeStamp {
  double seconds = 0.0; ///< since 1970 in the stamp's own zone, or since midnight without a date
  bool has_date = false;
};

/// "2026-03-01T12:30:05.25", "2026/03/01 12:30", "01.03.2026 12:30:05" (day first), with "Z" or
/// "+01:00" behind, or "12:30", "12:30:05" alone. None for anything else, and for dates and times
/// that do not exist. Dates as 03/01/2026 are ambiguous and not understood.
[[nodiscard]] std::optional<TimeStamp> parse_time_stamp(std::string_view text);

} // namespace tiltfin
