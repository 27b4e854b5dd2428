#pragma once
// Rows of delimited text (RFC 4180, and what loggers make of it), one after the other, in constant
// memory. The parser itself (libcsv) is seen by csv_reader.cpp alone.

#include <memory>
#include <string>
#include <vector>

namespace tiltfin {

struct CsvRow {
  long long line = 0;             ///< where the row ends in the file, from 1
  long long first_line = 0;       ///< where it begins: earlier when a quoted cell holds line ends
  bool is_ended = true;           ///< false for a last row without a line end, or in an open quote
  bool has_open_quote = false;    ///< of a row that is not ended
  std::vector<std::string> cells; ///< without quotes and without blanks at either end
};

/// Reads a file row by row. Understands quotes, a byte order mark, and line ends of any kind; rows
/// without any character are passed over.
class CsvReader {
public:
  /// Throws InputError when there is no regular file that can be read.
  CsvReader(const std::string& path, char delimiter);
  ~CsvReader();
  CsvReader(const CsvReader&) = delete;
  CsvReader& operator=(const CsvReader&) = delete;
  CsvReader(CsvReader&&) = delete;
  CsvReader& operator=(CsvReader&&) = delete;

  /// False at the end. Throws InputError for UTF-16, for a row of more than a mebibyte (a quote
  /// that is never closed) and when reading fails.
  [[nodiscard]] bool next(CsvRow& row);

private:
  struct Parser;
  std::unique_ptr<Parser> parser_;
};

} // namespace tiltfin
