#pragma once
// What is asked of a log, and what came of its rows.

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// Columns are named as in the log's heading (case does not matter when there is no exact match),
/// or by their number from 1.
struct LogMapping {
  std::vector<std::string> time{"1"};         ///< one column, or a date and a time
  std::string time_unit;                      ///< s, min, h, ms or stamp; empty: as the log shows
  std::vector<std::string> temperature;       ///< of the cores, or of the base [degrees Celsius]
  bool takes_hottest = false;                 ///< of several temperatures; else their mean
  std::string ambient;                        ///< column, of the log itself or of `ambient_file`
  std::string ambient_file;                   ///< path of a second log; empty: none
  std::vector<std::string> ambient_time{"1"}; ///< its time column
  std::optional<double> ambient_c;            ///< constant, instead of a column
  std::string power;                          ///< column [W]; empty: the constant power below
  double power_w = 0.0;
  std::optional<char> delimiter; ///< , ; tab or |; none: as the log shows
  double from_min = 0.0;         ///< the part of the log used, from its first sample ...
  std::optional<double> to_min;  ///< ... to here; none: to its end
};

struct BadRow {
  std::string file;
  long long line = 0;
  std::string why;
};

struct LogCounts {
  long long rows = 0;             ///< of data, below the heading
  long long used = 0;             ///< inside the part asked for, all values there
  long long outside = 0;          ///< outside that part
  long long missing = 0;          ///< a value is not there, or no ambient sample is near
  long long bad = 0;              ///< cannot be understood, or cannot be true
  long long bad_ambient = 0;      ///< in the second log
  std::vector<BadRow> bad_rows;   ///< the first ten of both
  bool assumes_seconds = false;   ///< nothing says in which unit the times are
  std::vector<std::string> notes; ///< how the log was understood
};

} // namespace tiltfin
