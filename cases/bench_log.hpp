#pragma once
// One bench log: which of its columns hold what, and its samples one after the other.

#include <functional>
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
  char delimiter = '\0'; ///< 0: as the log shows; , ; tab or |
  double from_min = 0.0; ///< the part of the log used, from its first sample
  double to_min = 1e300;
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
  std::vector<std::string> notes; ///< how the log was understood
};

struct LogSample {
  double time_s = 0.0; ///< since the first sample of the part used
  double temperature_c = 0.0;
  double ambient_c = 0.0;
  double power_w = 0.0;
};

/// Reads a log from end to end in constant memory; `take` gets every sample used, times ascending.
/// Bad are rows with fewer cells than needed, values that are not numbers, temperatures outside -60
/// to 300 degrees Celsius (sensors that dropped out), negative powers, and times before that of an
/// earlier row; a clock time without date that falls back by more than 12 h has passed midnight. A
/// second log is interpolated; its samples count up to 10 minutes away. Throws InputError when a
/// file or a column is not there, when no row holds numbers, and when half of the rows are bad.
LogCounts read_log(const std::string& path, const LogMapping& mapping,
                   const std::function<void(const LogSample&)>& take);

} // namespace tiltfin
