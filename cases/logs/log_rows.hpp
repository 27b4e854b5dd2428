#pragma once
// Rows of logs one after the other, with their times.

#include "cases/logs/csv_reader.hpp"
#include "cases/logs/log_clock.hpp"
#include "cases/logs/log_layout.hpp"
#include "cases/logs/log_mapping.hpp"
#include "cases/logs/number_marks.hpp"

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

inline constexpr double lowest_c = -60.0; ///< below and above: a sensor that dropped out
inline constexpr double highest_c = 300.0;

/// Rows of a file with times that ascend: the first cells are the time, then come the values.
class TimedRows {
public:
  /// `time` names one column, or that of a date and that of a time; `counts` collects bad rows.
  TimedRows(const std::string& path, std::optional<char> delimiter,
            const std::vector<std::string>& time, const std::vector<std::string>& values,
            const std::string& unit, LogCounts& counts);

  /// Next row with a time; false at the end. `bad` counts the rows that are refused.
  bool next(long long& bad);

  void refuse(const std::string& why, long long& bad);

  /// The value `k` between bounds: present, missing or bad (then `why` says so).
  [[nodiscard]] std::optional<double> value(std::size_t k, double low, double high,
                                            std::string& why);

  /// At the end: throws InputError where it is not sure what the commas of a column are.
  void check_marks() const;

  [[nodiscard]] double time() const { return time_; }
  /// Cell of the value `k`; empty where the row is short.
  [[nodiscard]] const std::string& cell(std::size_t k) const;
  [[nodiscard]] bool is_short() const;
  /// Time is known to be right: what stands before it is the heading no longer.
  void accept_time() {
    has_data_ = true;
    last_time_ = time_;
  }
  [[nodiscard]] const LogClock& clock() const { return clock_; }
  [[nodiscard]] const LogLayout& layout() const { return layout_; }
  [[nodiscard]] long long n_rows() const { return n_rows_; }
  [[nodiscard]] int n_above() const { return n_above_; }
  [[nodiscard]] const std::string& first_fault() const { return first_fault_; }
  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] long long line() const { return row_.line; } ///< last read
  /// "the last row (line 5) has no line end ...: used"; "" where it has one, or was left out.
  [[nodiscard]] const std::string& end_note() const { return end_note_; }

private:
  /// What is wrong with the row as a whole; "" when nothing is.
  [[nodiscard]] std::string fault_of_shape() const;
  /// Why a row without a line end may be half-written; "" where it is as long as the one before.
  [[nodiscard]] std::string fault_of_end() const;
  /// For the row after this one, which is taken.
  void remember_end();
  /// Reads the row's time; says what is wrong with it, "" when nothing is.
  std::string take_time();

  std::string path_;
  std::size_t n_time_;
  LogLayout layout_;
  CsvReader reader_;
  LogClock clock_;
  LogCounts* counts_;
  CsvRow row_;
  double time_ = 0.0;
  double last_time_ = -std::numeric_limits<double>::infinity();
  bool has_data_ = false;
  long long n_rows_ = 0;
  int n_above_ = 0;
  std::string first_fault_;
  std::string end_note_;
  std::size_t cells_before_ = 0; ///< of the last row that was taken; 0: none was
  std::string last_cell_before_;
  struct Marks {
    NumberMarks marks;
    bool may_be_thousands = false;
  };
  std::vector<Marks> marks_; ///< of the time, then of the values
};

/// The room's temperature from a second log, interpolated in time.
class AmbientLog {
public:
  /// Throws InputError when it holds no numbers.
  AmbientLog(const LogMapping& mapping, LogCounts& counts);

  [[nodiscard]] const TimedRows& rows() const { return rows_; }

  /// None where no sample is near. Times must ascend.
  std::optional<double> at(double time);

private:
  void step();

  TimedRows rows_;
  LogCounts* counts_;
  bool has_last_ = false;
  bool has_next_ = false;
  double last_time_ = 0.0;
  double last_ = 0.0;
  double next_time_ = 0.0;
  double next_ = 0.0;
};

/// How a log was understood, in words.
[[nodiscard]] std::string describe(const TimedRows& rows);

} // namespace tiltfin
