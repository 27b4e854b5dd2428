#pragma once
// The times of a log as seconds.

#include "cases/logs/log_layout.hpp"

#include <limits>
#include <optional>
#include <string>

namespace tiltfin {

/// Reads times in one way throughout a file.
class LogClock {
public:
  /// `unit`: s, min, h, ms or stamp; empty: as the heading, else the first time, shows.
  LogClock(const std::string& unit, const LogLayout& layout);

  /// Seconds; none when the text is not a time of the file's kind. The first time that is
  /// understood decides on the kind.
  std::optional<double> read(const std::string& text);

  [[nodiscard]] bool is_stamp() const { return seconds_ == 0.0; }
  /// Nothing says what the numbers are: they are taken for seconds.
  [[nodiscard]] bool is_assumed() const { return is_assumed_; }
  [[nodiscard]] std::string describe() const;

private:
  double seconds_ = 0.0; ///< in the unit; 0: stamps
  bool is_known_ = false;
  bool is_assumed_ = false;
  double midnights_ = 0.0;
  double last_ = -std::numeric_limits<double>::infinity();
};

} // namespace tiltfin
