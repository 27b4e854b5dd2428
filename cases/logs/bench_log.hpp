#pragma once
// One bench log: which of its columns hold what, and its samples one after the other.

#include "cases/logs/log_mapping.hpp"

#include <functional>
#include <string>

namespace tiltfin {

struct LogSample {
  double time_s = 0.0; ///< since the first sample of the part used
  double temperature_c = 0.0;
  double ambient_c = 0.0;
  double power_w = 0.0;
};

/// Reads a log from end to end in constant memory; `take` gets every sample used, times ascending.
/// Bad are rows with fewer cells than needed or more than the heading, rows that a quote left open
/// hides, a last row without a line end that is shorter than the one before, values that are not
/// numbers, temperatures outside -60 to 300 degrees Celsius (sensors that dropped out), negative
/// powers, and times before that of an earlier row; a clock time without date that falls back by
/// more than 12 h has passed midnight. A second log is interpolated; its samples count up to 10
/// minutes away. Throws InputError when a file or a column is not there, when a column's name is
/// there twice, when its decimal mark is not sure (NumberMarks), when no row holds numbers, and
/// when half of the rows are bad.
LogCounts read_log(const std::string& path, const LogMapping& mapping,
                   const std::function<void(const LogSample&)>& take);

} // namespace tiltfin
