#include "cases/logs/log_rows.hpp"

#include "cases/input/input_error.hpp"
#include "cases/logs/log_values.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr int rows_under_heading = 3;     // units and the like
constexpr std::size_t reported = 10;      // bad rows kept with their line
constexpr double longest_s = 3.2e9;       // a century
constexpr double nearest_ambient_s = 600; // as far as a sample of the room still counts

std::vector<std::string> all_names(std::vector<std::string> time,
                                   const std::vector<std::string>& values) {
  time.insert(time.end(), values.begin(), values.end());
  return time;
}

std::string show_delimiter(char delimiter) {
  return delimiter == '\t' ? "tab" : std::string(1, delimiter);
}

} // namespace

TimedRows::TimedRows(const std::string& path, std::optional<char> delimiter,
                     const std::vector<std::string>& time, const std::vector<std::string>& values,
                     const std::string& unit, LogCounts& counts)
    : path_(path),
      n_time_(time.size()),
      layout_(find_layout(path, delimiter, all_names(time, values))),
      reader_(path, layout_.delimiter),
      clock_(unit, layout_),
      counts_(&counts),
      marks_(values.size() + 1) {}

bool TimedRows::next(long long& bad) {
  while (reader_.next(row_)) {
    if (row_.line <= layout_.heading_line) {
      continue;
    }
    const long long lines = row_.line - row_.first_line + 1;
    n_rows_ += lines;
    if (lines > 1) {
      bad += lines - 1; // refuse() counts one
      refuse(fmt::format("a quote that is open from line {} to line {} hides {} rows",
                         row_.first_line, row_.line, lines),
             bad);
      continue;
    }
    std::string why = take_time();
    if (why.empty()) {
      why = fault_of_shape();
      if (why.empty()) {
        remember_end();
        return true;
      }
      refuse(why, bad);
      continue;
    }
    const int allowed = layout_.heading_line > 0 ? rows_under_heading : heading_rows;
    if (!has_data_ && n_above_ < allowed) {
      ++n_above_; // still the heading
      --n_rows_;
      first_fault_ =
          first_fault_.empty() ? fmt::format("line {}: {}", row_.line, why) : first_fault_;
      continue;
    }
    refuse(why, bad);
  }
  return false;
}

void TimedRows::refuse(const std::string& why, long long& bad) {
  ++bad;
  if (counts_->bad_rows.size() < reported) {
    constexpr std::size_t longest = 200; // of what is said of a row; cells may be any length
    const bool is_long = why.size() > longest;
    counts_->bad_rows.push_back({path_, row_.line, is_long ? why.substr(0, longest) + "..." : why});
  }
}

const std::string& TimedRows::cell(std::size_t k) const {
  static const std::string nothing;
  const auto column = static_cast<std::size_t>(layout_.columns[n_time_ + k]);
  return column < row_.cells.size() ? row_.cells[column] : nothing;
}

bool TimedRows::is_short() const {
  const int last = std::ranges::max(layout_.columns);
  return static_cast<int>(row_.cells.size()) <= last;
}

std::string TimedRows::fault_of_shape() const {
  std::size_t width = row_.cells.size();
  while (width > 0 && row_.cells[width - 1].empty()) {
    --width; // delimiters at the end of a row hold nothing
  }
  if (width > layout_.width) {
    return fmt::format("the row has {} cells, the {} {} (is a decimal comma not quoted?)", width,
                       layout_.heading_line > 0 ? "heading" : "rows before it", layout_.width);
  }
  return row_.is_ended ? "" : fault_of_end();
}

std::string TimedRows::fault_of_end() const {
  const std::string no_end = "the last row has no line end, and ";
  if (row_.has_open_quote) {
    return no_end + "a quote in it is open: half-written";
  }
  if (cells_before_ == 0) {
    return no_end + "there is none before it to compare with: it may be half-written";
  }
  if (row_.cells.size() < cells_before_) {
    return fmt::format("{}{} cells, the one before it {}: half-written", no_end, row_.cells.size(),
                       cells_before_);
  }
  const std::string& last = row_.cells.back();
  if (row_.cells.size() == cells_before_ && last.size() < last_cell_before_.size()) {
    return fmt::format("its last cell '{}' is shorter than '{}' before it: it may be half-written",
                       last, last_cell_before_);
  }
  return "";
}

void TimedRows::remember_end() {
  if (!row_.is_ended) {
    end_note_ = fmt::format("the last row (line {}) has no line end, and its cells are as many and "
                            "the last as long as those before: used",
                            row_.line);
  }
  cells_before_ = row_.cells.size();
  last_cell_before_ = row_.cells.empty() ? "" : row_.cells.back();
}

void TimedRows::check_marks() const {
  for (const Marks& column : marks_) {
    if (column.may_be_thousands) {
      column.marks.check_thousands(path_);
    }
  }
}

std::string TimedRows::take_time() {
  std::string text;
  for (std::size_t k = 0; k < n_time_; ++k) {
    const auto column = static_cast<std::size_t>(layout_.columns[k]);
    if (column >= row_.cells.size()) {
      return "no time in the row";
    }
    text += (k > 0 ? " " : "") + row_.cells[column];
  }
  const std::optional<double> time = clock_.read(text);
  if (!time || std::abs(*time) > longest_s) {
    return fmt::format("'{}' is not a time", text);
  }
  if (!clock_.is_stamp()) {
    marks_[0].marks.see(text, path_, row_.line);
    marks_[0].may_be_thousands = true;
  }
  if (*time < last_time_) {
    return fmt::format("time '{}' lies {:g} s before that of an earlier row", text,
                       last_time_ - *time);
  }
  time_ = *time;
  return "";
}

std::optional<double> TimedRows::value(std::size_t k, double low, double high, std::string& why) {
  const std::string& text = cell(k);
  if (is_missing(text)) {
    return std::nullopt;
  }
  const std::optional<double> value = parse_number(text);
  if (value) {
    marks_[k + 1].marks.see(text, path_, row_.line);
    marks_[k + 1].may_be_thousands = high >= 1000.0;
  }
  if (!value) {
    why = fmt::format("'{}' is not a number", text);
  } else if (*value < low || *value > high) {
    why = fmt::format("{} is outside {} to {}", text, low, high);
  }
  return why.empty() ? value : std::nullopt;
}

AmbientLog::AmbientLog(const LogMapping& mapping, LogCounts& counts)
    : rows_(mapping.ambient_file, std::nullopt, mapping.ambient_time, {mapping.ambient}, "",
            counts),
      counts_(&counts) {
  step();
  if (!has_next_) {
    throw InputError(fmt::format("{}:{}: found no row with numbers in the columns asked for, "
                                 "allowed a log of the room's temperature",
                                 mapping.ambient_file, rows_.line()));
  }
}

std::optional<double> AmbientLog::at(double time) {
  while (has_next_ && next_time_ <= time) {
    has_last_ = true;
    last_time_ = next_time_;
    last_ = next_;
    step();
  }
  const bool near_last = has_last_ && time - last_time_ <= nearest_ambient_s;
  const bool near_next = has_next_ && next_time_ - time <= nearest_ambient_s;
  if (near_last && near_next) {
    return last_ + (next_ - last_) * (time - last_time_) / (next_time_ - last_time_);
  }
  if (near_last || near_next) {
    return near_last ? last_ : next_;
  }
  return std::nullopt;
}

void AmbientLog::step() {
  has_next_ = false;
  while (rows_.next(counts_->bad_ambient)) {
    std::string why;
    const std::optional<double> value = rows_.value(0, lowest_c, highest_c, why);
    if (!why.empty()) {
      rows_.refuse(why, counts_->bad_ambient);
    } else if (value) {
      rows_.accept_time();
      next_ = *value;
      next_time_ = rows_.time();
      has_next_ = true;
      return;
    }
  }
}

std::string describe(const TimedRows& rows) {
  std::string text = fmt::format("delimiter {}, {}", show_delimiter(rows.layout().delimiter),
                                 rows.clock().describe());
  if (rows.layout().heading_line > 0) {
    text += fmt::format(", heading in line {}", rows.layout().heading_line);
  }
  if (rows.n_above() > 0) {
    text += fmt::format(", {} more row{} before the data", rows.n_above(),
                        rows.n_above() == 1 ? "" : "s");
  }
  return text;
}

} // namespace tiltfin
