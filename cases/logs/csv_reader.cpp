#include "cases/logs/csv_reader.hpp"

#include "cases/input/input_error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string_view>
#include <utility>

#include <csv.h>

namespace tiltfin {

struct CsvReader::Parser {
  std::string path;
  std::ifstream file;
  csv_parser csv{};
  std::array<char, 65536> block{};
  bool is_first_block = true;
  bool is_at_end = false;
  bool last_was_return = false;
  bool last_was_end = false;    ///< of a line
  long long line = 1;           ///< that the parser is in
  long long first_line = 0;     ///< of the row that is built; 0: none is begun
  std::size_t bytes_in_row = 0; ///< so far
  std::ptrdiff_t quotes_in_row = 0;
  CsvRow building;
  std::vector<CsvRow> ready; ///< of one block
  std::size_t n_ready = 0;   ///< rows after that are spare, so that their memory is used again
  std::size_t n_taken = 0;

  Parser(const std::string& file_path, char delimiter);
  ~Parser() { csv_free(&csv); }
  Parser(const Parser&) = delete;
  Parser& operator=(const Parser&) = delete;
  Parser(Parser&&) = delete;
  Parser& operator=(Parser&&) = delete;

  void end_row(bool is_ended);
  void parse(std::string_view piece);
  void read_block();

  static void on_cell(void* text, std::size_t size, void* self) {
    auto& row = static_cast<Parser*>(self)->building;
    row.cells.emplace_back(static_cast<const char*>(text), size);
  }
  static void on_row(int terminator, void* self) { // -1: the file ended instead
    static_cast<Parser*>(self)->end_row(terminator >= 0);
  }
};

CsvReader::Parser::Parser(const std::string& file_path, char delimiter)
    : path(file_path), file(file_path, std::ios::binary) {
  if (!file || !std::filesystem::is_regular_file(path)) {
    throw InputError(
        fmt::format("{}: found no regular file that can be read, allowed a log", path));
  }
  if (csv_init(&csv, 0) != 0) {
    throw std::runtime_error("the CSV parser cannot start");
  }
  csv_set_delim(&csv, static_cast<unsigned char>(delimiter));
}

void CsvReader::Parser::end_row(bool is_ended) {
  const bool is_past_end = !is_ended && first_line > 0 && first_line < line && last_was_end;
  building.line = is_past_end ? line - 1 : line; // an open quote holds the last line end, too
  building.first_line = first_line > 0 ? first_line : line;
  building.is_ended = is_ended;
  building.has_open_quote = !is_ended && quotes_in_row % 2 != 0;
  quotes_in_row = 0;
  first_line = 0;
  if (n_ready == ready.size()) {
    ready.emplace_back();
  }
  std::swap(ready[n_ready], building);
  ++n_ready;
  building.cells.clear();
  bytes_in_row = 0;
}

void CsvReader::Parser::parse(std::string_view piece) {
  constexpr std::size_t longest_row = 1U << 20U;
  if (first_line == 0 && piece.find_first_not_of("\r\n") != std::string_view::npos) {
    first_line = line;
  }
  bytes_in_row += first_line == 0 ? 0 : piece.size();
  quotes_in_row += std::ranges::count(piece, '"');
  if (csv_parse(&csv, piece.data(), piece.size(), on_cell, on_row, this) != piece.size()) {
    throw InputError(path + ": " + csv_strerror(csv_error(&csv)));
  }
  if (bytes_in_row > longest_row) {
    throw InputError(fmt::format("{}:{}: found a row of more than {} bytes, allowed shorter rows "
                                 "(is there a quote that is not closed?)",
                                 path, first_line, longest_row));
  }
}

void CsvReader::Parser::read_block() {
  n_ready = 0;
  n_taken = 0;
  file.read(block.data(), static_cast<std::streamsize>(block.size()));
  std::string_view left(block.data(), static_cast<std::size_t>(file.gcount()));
  if (file.bad()) {
    throw InputError(fmt::format("{}: found a file that cannot be read to its end", path));
  }
  if (is_first_block) {
    is_first_block = false;
    const bool is_marked = left.starts_with("\xFF\xFE") || left.starts_with("\xFE\xFF");
    if (is_marked || left.substr(0, 4).find('\0') != std::string_view::npos) {
      throw InputError(path + ":1: found UTF-16 text, allowed UTF-8 (save the log anew)");
    }
    if (left.starts_with("\xEF\xBB\xBF")) {
      left.remove_prefix(3);
    }
  }
  is_at_end = file.eof();
  while (!left.empty()) { // a piece ends after a line end, so that rows know their line
    const std::size_t end = left.find_first_of("\r\n");
    const std::string_view piece = left.substr(0, end == std::string_view::npos ? end : end + 1);
    parse(piece);
    left.remove_prefix(piece.size());
    const char last = piece.back();
    if (last == '\r' || (last == '\n' && (piece.size() > 1 || !last_was_return))) {
      ++line;
    }
    last_was_return = last == '\r';
    last_was_end = last == '\r' || last == '\n';
  }
  if (is_at_end) {
    csv_fini(&csv, on_cell, on_row, this);
  }
}

CsvReader::CsvReader(const std::string& path, char delimiter)
    : parser_(std::make_unique<Parser>(path, delimiter)) {}

CsvReader::~CsvReader() = default;

bool CsvReader::next(CsvRow& row) {
  while (parser_->n_taken == parser_->n_ready) {
    if (parser_->is_at_end) {
      return false;
    }
    parser_->read_block();
  }
  std::swap(row, parser_->ready[parser_->n_taken]);
  ++parser_->n_taken;
  return true;
}

} // namespace tiltfin
