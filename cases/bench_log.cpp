#include "cases/bench_log.hpp"

#include "cases/case.hpp"
#include "cases/csv_reader.hpp"
#include "cases/log_values.hpp"
#include "cases/toml_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>
#include <memory>

namespace tiltfin {
namespace {

constexpr int heading_rows = 100;     // a heading stands within these
constexpr int rows_under_heading = 3; // units and the like
constexpr std::size_t reported = 10;  // bad rows kept with their line
constexpr double lowest_c = -60.0;    // below and above: a sensor that dropped out
constexpr double highest_c = 300.0;
constexpr double longest_s = 3.2e9;       // a century
constexpr double nearest_ambient_s = 600; // as far as a sample of the room still counts
constexpr double day_s = 86400.0;

std::string lower(std::string text) {
  std::ranges::transform(text, text.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

/// The number that names a column, from 1; 0 when it is not one.
int column_number(const std::string& name) {
  const bool is_number =
      !name.empty() && name.size() < 5 &&
      std::ranges::all_of(name, [](unsigned char c) { return std::isdigit(c) != 0; });
  return is_number ? std::stoi(name) : 0;
}

/// Place of a column in a heading; -1 when it is not there.
int place_in(const std::vector<std::string>& heading, const std::string& name) {
  auto found = std::ranges::find(heading, name);
  if (found == heading.end()) {
    found =
        std::ranges::find_if(heading, [&](const auto& cell) { return lower(cell) == lower(name); });
  }
  return found == heading.end() ? -1 : static_cast<int>(found - heading.begin());
}

/// Where a file's columns are.
struct Layout {
  char delimiter = ',';
  long long heading_line = 0; ///< 0: none, columns are given by number
  std::vector<std::string> heading;
  std::vector<int> columns; ///< one per name asked for
};

std::vector<CsvRow> first_rows(const std::string& path, char delimiter) {
  CsvReader reader(path, delimiter);
  std::vector<CsvRow> rows;
  CsvRow row;
  while (rows.size() < heading_rows && reader.next(row)) {
    rows.push_back(row);
  }
  return rows;
}

std::string show_delimiter(char delimiter) {
  return delimiter == '\t' ? "tab" : std::string(1, delimiter);
}

/// Finds the row that holds every column named in letters.
bool find_heading(const std::vector<CsvRow>& rows, const std::vector<std::string>& names,
                  Layout& layout) {
  for (const CsvRow& row : rows) {
    std::vector<int> columns;
    bool any_named = false;
    for (const std::string& name : names) {
      const int number = column_number(name);
      const int place = number > 0 ? number - 1 : place_in(row.cells, name);
      any_named = any_named || (number == 0 && place >= 0);
      columns.push_back(place);
    }
    if (any_named && std::ranges::all_of(columns, [](int place) { return place >= 0; })) {
      layout.heading_line = row.line;
      layout.heading = row.cells;
      layout.columns = columns;
      return true;
    }
  }
  return false;
}

/// Cells that most of the first rows have.
std::size_t usual_width(const std::vector<CsvRow>& rows) {
  std::vector<std::size_t> widths;
  widths.reserve(rows.size());
  for (const CsvRow& row : rows) {
    widths.push_back(row.cells.size());
  }
  std::ranges::sort(widths);
  return widths.empty() ? 0 : widths[widths.size() / 2];
}

[[noreturn]] void refuse_columns(const std::string& path, const std::vector<CsvRow>& rows,
                                 const std::vector<std::string>& names) {
  const auto widest =
      std::ranges::max_element(rows, {}, [](const CsvRow& row) { return row.cells.size(); });
  std::string missing;
  for (const std::string& name : names) {
    if (missing.empty() && column_number(name) == 0 && place_in(widest->cells, name) < 0) {
      missing = name;
    }
  }
  throw InputError(fmt::format(
      "{}:{}: found no column '{}' in the first {} rows, allowed those of the heading: {}; nearest "
      "'{}'",
      path, widest->line, missing, heading_rows, join(widest->cells),
      nearest(missing, widest->cells)));
}

/// Looks for the heading with every delimiter in question.
Layout find_layout(const std::string& path, char delimiter, const std::vector<std::string>& names) {
  const std::vector<char> delimiters =
      delimiter != '\0' ? std::vector<char>{delimiter} : std::vector<char>{';', '\t', ',', '|'};
  Layout best;
  std::vector<CsvRow> best_rows;
  std::size_t best_width = 0;
  for (const char candidate : delimiters) {
    Layout layout;
    layout.delimiter = candidate;
    const std::vector<CsvRow> rows = first_rows(path, candidate);
    if (rows.empty()) {
      throw InputError(path + ": found an empty file, allowed a log with rows of numbers");
    }
    if (find_heading(rows, names, layout)) {
      return layout;
    }
    if (usual_width(rows) > best_width) {
      best_width = usual_width(rows);
      best.delimiter = candidate;
      best_rows = rows;
    }
  }
  for (const std::string& name : names) {
    best.columns.push_back(column_number(name) - 1);
  }
  if (std::ranges::any_of(best.columns, [](int place) { return place < 0; })) {
    refuse_columns(path, best_rows, names);
  }
  return best;
}

/// Seconds in a unit of time; 0 for a word that is none.
double seconds_in(const std::string& unit) {
  struct Unit {
    const char* word;
    double seconds;
  };
  constexpr std::array<Unit, 15> units{{{"ms", 1e-3},
                                        {"millisecond", 1e-3},
                                        {"milliseconds", 1e-3},
                                        {"s", 1.0},
                                        {"sec", 1.0},
                                        {"secs", 1.0},
                                        {"second", 1.0},
                                        {"seconds", 1.0},
                                        {"min", 60.0},
                                        {"mins", 60.0},
                                        {"minute", 60.0},
                                        {"minutes", 60.0},
                                        {"h", 3600.0},
                                        {"hour", 3600.0},
                                        {"hours", 3600.0}}};
  const auto* found = std::ranges::find_if(units, [&](const Unit& u) { return unit == u.word; });
  return found == units.end() ? 0.0 : found->seconds;
}

/// The unit that a heading like "Time (min)" or "t_s" ends in; 0 when it shows none.
double seconds_in_heading(const std::string& heading) {
  std::string word;
  double seconds = 0.0;
  for (const char c : lower(heading) + " ") {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += c;
    } else if (!word.empty()) {
      seconds = seconds_in(word);
      word.clear();
    }
  }
  return seconds;
}

/// Reads times in one way throughout a file.
class Clock {
public:
  Clock(const std::string& unit, const Layout& layout) {
    if (unit == "stamp") {
      seconds_ = 0.0;
      is_known_ = true;
    } else if (!unit.empty()) {
      seconds_ = seconds_in(unit);
      is_known_ = true;
    } else if (!layout.heading.empty()) {
      seconds_ = seconds_in_heading(layout.heading[static_cast<std::size_t>(layout.columns[0])]);
    }
  }

  /// Seconds; none when the text is not a time of the file's kind. The first time that is
  /// understood decides on the kind.
  std::optional<double> read(const std::string& text) {
    if (!is_known_) {
      if (parse_time_stamp(text)) {
        seconds_ = 0.0;
      } else if (!parse_number(text)) {
        return std::nullopt;
      } else if (seconds_ == 0.0) {
        seconds_ = 1.0;
        is_assumed_ = true;
      }
      is_known_ = true;
    }
    if (seconds_ > 0.0) {
      const std::optional<double> number = parse_number(text);
      return number ? std::optional<double>(*number * seconds_) : std::nullopt;
    }
    const std::optional<TimeStamp> stamp = parse_time_stamp(text);
    if (!stamp) {
      return std::nullopt;
    }
    if (!stamp->has_date && stamp->seconds + midnights_ * day_s < last_ - 0.5 * day_s) {
      midnights_ += 1.0;
    }
    const double seconds = stamp->seconds + (stamp->has_date ? 0.0 : midnights_ * day_s);
    last_ = seconds;
    return seconds;
  }

  [[nodiscard]] bool is_stamp() const { return seconds_ == 0.0; }
  [[nodiscard]] std::string describe() const {
    if (is_stamp()) {
      return "time stamps";
    }
    const char* unit = seconds_ == 1.0 ? "seconds" : seconds_ == 60.0 ? "minutes" : "hours";
    return fmt::format("{}{}", seconds_ < 1.0 ? "milliseconds" : unit,
                       is_assumed_ ? " (assumed)" : "");
  }

private:
  double seconds_ = 0.0; ///< in the unit; 0: stamps
  bool is_known_ = false;
  bool is_assumed_ = false;
  double midnights_ = 0.0;
  double last_ = -std::numeric_limits<double>::infinity();
};

/// Rows of a file with times that ascend: the first cells are the time, then come the values.
class TimedRows {
public:
  TimedRows(const std::string& path, char delimiter, const std::vector<std::string>& time,
            const std::vector<std::string>& values, const std::string& unit, LogCounts& counts)
      : path_(path),
        n_time_(time.size()),
        layout_(find_layout(path, delimiter, all_names(time, values))),
        reader_(path, layout_.delimiter),
        clock_(unit, layout_),
        counts_(&counts) {}

  /// Next row with a time; false at the end. `bad` counts the rows that are refused.
  bool next(long long& bad) {
    while (reader_.next(row_)) {
      if (row_.line <= layout_.heading_line) {
        continue;
      }
      ++n_rows_;
      std::string why = take_time();
      if (why.empty()) {
        return true;
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

  void refuse(const std::string& why, long long& bad) {
    ++bad;
    if (counts_->bad_rows.size() < reported) {
      counts_->bad_rows.push_back({path_, row_.line, why});
    }
  }

  [[nodiscard]] double time() const { return time_; }
  /// Cell of the value `k`; empty where the row is short.
  [[nodiscard]] const std::string& cell(std::size_t k) const {
    static const std::string nothing;
    const auto column = static_cast<std::size_t>(layout_.columns[n_time_ + k]);
    return column < row_.cells.size() ? row_.cells[column] : nothing;
  }
  [[nodiscard]] bool is_short() const {
    const int last = std::ranges::max(layout_.columns);
    return static_cast<int>(row_.cells.size()) <= last;
  }
  /// Time is known to be right: what stands before it is the heading no longer.
  void accept_time() {
    has_data_ = true;
    last_time_ = time_;
  }
  [[nodiscard]] const Clock& clock() const { return clock_; }
  [[nodiscard]] const Layout& layout() const { return layout_; }
  [[nodiscard]] long long n_rows() const { return n_rows_; }
  [[nodiscard]] int n_above() const { return n_above_; }
  [[nodiscard]] const std::string& first_fault() const { return first_fault_; }
  [[nodiscard]] const std::string& path() const { return path_; }

private:
  static std::vector<std::string> all_names(std::vector<std::string> time,
                                            const std::vector<std::string>& values) {
    time.insert(time.end(), values.begin(), values.end());
    return time;
  }

  /// Reads the row's time; says what is wrong with it, "" when nothing is.
  std::string take_time() {
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
    if (*time < last_time_) {
      return fmt::format("time '{}' lies {:g} s before that of an earlier row", text,
                         last_time_ - *time);
    }
    time_ = *time;
    return "";
  }

  std::string path_;
  std::size_t n_time_;
  Layout layout_;
  CsvReader reader_;
  Clock clock_;
  LogCounts* counts_;
  CsvRow row_;
  double time_ = 0.0;
  double last_time_ = -std::numeric_limits<double>::infinity();
  bool has_data_ = false;
  long long n_rows_ = 0;
  int n_above_ = 0;
  std::string first_fault_;
};

/// A value of a row: present, missing or bad (then `why` says so).
std::optional<double> value_of(const std::string& cell, double low, double high, std::string& why) {
  if (is_missing(cell)) {
    return std::nullopt;
  }
  const std::optional<double> value = parse_number(cell);
  if (!value) {
    why = fmt::format("'{}' is not a number", cell);
  } else if (*value < low || *value > high) {
    why = fmt::format("{} is outside {} to {}", cell, low, high);
  }
  return why.empty() ? value : std::nullopt;
}

/// The room's temperature from a second log, interpolated in time.
class AmbientLog {
public:
  AmbientLog(const LogMapping& mapping, LogCounts& counts)
      : rows_(mapping.ambient_file, '\0', mapping.ambient_time, {mapping.ambient}, "", counts),
        counts_(&counts) {
    step();
    if (!has_next_) {
      throw InputError(
          fmt::format("{}: found no row with numbers in the columns asked for, allowed "
                      "a log of the room's temperature",
                      mapping.ambient_file));
    }
  }

  [[nodiscard]] const TimedRows& rows() const { return rows_; }

  /// None where no sample is near. Times must ascend.
  std::optional<double> at(double time) {
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

private:
  void step() {
    has_next_ = false;
    while (rows_.next(counts_->bad_ambient)) {
      std::string why;
      const std::optional<double> value = value_of(rows_.cell(0), lowest_c, highest_c, why);
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

  TimedRows rows_;
  LogCounts* counts_;
  bool has_last_ = false;
  bool has_next_ = false;
  double last_time_ = 0.0;
  double last_ = 0.0;
  double next_time_ = 0.0;
  double next_ = 0.0;
};

/// Values of a row in the order temperatures, ambient (if a column), power (if a column).
struct RowValues {
  std::optional<double> temperature;
  std::optional<double> ambient;
  std::optional<double> power;
  std::string why; ///< not empty: the row is bad
};

RowValues values_in(const TimedRows& rows, const LogMapping& mapping, bool ambient_is_column) {
  RowValues values;
  if (rows.is_short()) {
    values.why = "the row has fewer cells than the columns asked for";
    return values;
  }
  const std::size_t n = mapping.temperature.size();
  double sum = 0.0;
  double hottest = lowest_c;
  bool all_there = true;
  for (std::size_t k = 0; k < n; ++k) {
    const std::optional<double> value = value_of(rows.cell(k), lowest_c, highest_c, values.why);
    all_there = all_there && value;
    sum += value.value_or(0.0);
    hottest = std::max(hottest, value.value_or(lowest_c));
  }
  if (all_there) {
    values.temperature = mapping.takes_hottest ? hottest : sum / static_cast<double>(n);
  }
  std::size_t next = n;
  values.ambient = mapping.ambient_c;
  if (ambient_is_column) {
    values.ambient = value_of(rows.cell(next++), lowest_c, highest_c, values.why);
  }
  values.power = mapping.power_w;
  if (!mapping.power.empty()) {
    values.power = value_of(rows.cell(next), 0.0, 1e6, values.why);
  }
  return values;
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

void check_counts(const TimedRows& rows, const LogCounts& counts) {
  if (counts.rows == 0 || counts.used + counts.outside + counts.missing == 0) {
    std::string first = rows.first_fault();
    if (first.empty() && !counts.bad_rows.empty()) {
      first = fmt::format("line {}: {}", counts.bad_rows[0].line, counts.bad_rows[0].why);
    }
    throw InputError(fmt::format("{}: found no row with numbers in the columns asked for ({}), "
                                 "allowed a log with rows of numbers",
                                 rows.path(), first.empty() ? "nothing below the heading" : first));
  }
  if (2 * counts.bad >= counts.rows) {
    throw InputError(fmt::format("{}:{}: found {} bad rows of {} (the first: {}), allowed fewer "
                                 "than half",
                                 rows.path(), counts.bad_rows[0].line, counts.bad, counts.rows,
                                 counts.bad_rows[0].why));
  }
}

std::unique_ptr<AmbientLog> open_ambient(const TimedRows& rows, const LogMapping& mapping,
                                         LogCounts& counts) {
  auto room = std::make_unique<AmbientLog>(mapping, counts);
  if (room->rows().clock().is_stamp() != rows.clock().is_stamp()) {
    throw InputError(fmt::format("{}: found times of another kind than those of {}, allowed time "
                                 "stamps in both or numbers in both",
                                 mapping.ambient_file, rows.path()));
  }
  return room;
}

} // namespace

LogCounts read_log(const std::string& path, const LogMapping& mapping,
                   const std::function<void(const LogSample&)>& take) {
  LogCounts counts;
  std::vector<std::string> names = mapping.temperature;
  const bool ambient_is_column = !mapping.ambient_c && mapping.ambient_file.empty();
  if (ambient_is_column) {
    names.push_back(mapping.ambient);
  }
  if (!mapping.power.empty()) {
    names.push_back(mapping.power);
  }
  TimedRows rows(path, mapping.delimiter, mapping.time, names, mapping.time_unit, counts);
  std::unique_ptr<AmbientLog> room;
  std::optional<double> first_time;
  const double from = 60.0 * mapping.from_min;
  while (rows.next(counts.bad)) {
    RowValues values = values_in(rows, mapping, ambient_is_column);
    if (!values.why.empty()) {
      rows.refuse(values.why, counts.bad);
      continue;
    }
    rows.accept_time();
    if (!mapping.ambient_file.empty() && !room) { // now that the kind of the times is known
      room = open_ambient(rows, mapping, counts);
    }
    first_time = first_time.value_or(rows.time());
    const double time = rows.time() - *first_time;
    if (time < from || time >= 60.0 * mapping.to_min) {
      ++counts.outside;
      continue;
    }
    if (room) {
      values.ambient = room->at(rows.time());
    }
    if (!values.temperature || !values.ambient || !values.power) {
      ++counts.missing;
      continue;
    }
    ++counts.used;
    take({time - from, *values.temperature, *values.ambient, *values.power});
  }
  counts.rows = rows.n_rows();
  check_counts(rows, counts);
  counts.notes.push_back(describe(rows));
  if (room) {
    counts.notes.push_back(
        fmt::format("ambient from {}: {}", mapping.ambient_file, describe(room->rows())));
  }
  return counts;
}

} // namespace tiltfin
