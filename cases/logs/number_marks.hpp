#pragma once
// Which decimal mark the numbers of a column have, and whether that is sure.

#include <string>

namespace tiltfin {

/// Watches the numbers of one column. "998.5" beside "1,010" may be thousands or decimals, and so
/// may "1,010" beside "998" where the column may hold thousands: neither is guessed.
class NumberMarks {
public:
  /// A cell that parse_number understands. Throws InputError where a point and a comma meet.
  void see(const std::string& cell, const std::string& path, long long line);

  /// At the end, of a column that may hold a thousand and more. Throws InputError when every comma
  /// stands before three digits and other numbers have none.
  void check_thousands(const std::string& path) const;

private:
  /// The first cell of a kind; line 0: none so far.
  struct First {
    std::string cell;
    long long line = 0;
    void take(const std::string& text, long long at);
  };
  First point_;
  First comma_;   ///< of any kind
  First decimal_; ///< a comma that is no thousands separator
  First plain_;
};

} // namespace tiltfin
