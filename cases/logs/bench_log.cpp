#include "cases/logs/bench_log.hpp"

#include "cases/input/input_error.hpp"
#include "cases/logs/log_rows.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <memory>

namespace tiltfin {
namespace {

/// Values of a row in the order temperatures, ambient (if a column), power (if a column).
struct RowValues {
  std::optional<double> temperature;
  std::optional<double> ambient;
  std::optional<double> power;
  std::string why; ///< not empty: the row is bad
};

RowValues values_in(TimedRows& rows, const LogMapping& mapping, bool ambient_is_column) {
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
    const std::optional<double> value = rows.value(k, lowest_c, highest_c, values.why);
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
    values.ambient = rows.value(next++, lowest_c, highest_c, values.why);
  }
  values.power = mapping.power_w;
  if (!mapping.power.empty()) {
    values.power = rows.value(next, 0.0, 1e6, values.why);
  }
  return values;
}

void check_counts(const TimedRows& rows, const LogCounts& counts) {
  if (counts.rows == 0 || counts.used + counts.outside + counts.missing == 0) {
    std::string first = rows.first_fault();
    if (first.empty() && !counts.bad_rows.empty()) {
      first = fmt::format("line {}: {}", counts.bad_rows[0].line, counts.bad_rows[0].why);
    }
    throw InputError(fmt::format("{}:{}: found no row with numbers in the columns asked for ({}), "
                                 "allowed a log with rows of numbers",
                                 rows.path(), rows.line(),
                                 first.empty() ? "nothing below the heading" : first));
  }
  if (2 * counts.bad >= counts.rows) {
    throw InputError(fmt::format("{}:{}: found {} bad rows of {} (the first: {}), allowed fewer "
                                 "than half",
                                 rows.path(), counts.bad_rows[0].line, counts.bad, counts.rows,
                                 counts.bad_rows[0].why));
  }
}

void note_end(const TimedRows& rows, LogCounts& counts) {
  if (!rows.end_note().empty()) {
    counts.notes.push_back(fmt::format("{}: {}", rows.path(), rows.end_note()));
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
    if (time < from || (mapping.to_min && time >= 60.0 * *mapping.to_min)) {
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
  counts.assumes_seconds = rows.clock().is_assumed();
  rows.check_marks();
  if (room) {
    room->rows().check_marks();
  }
  check_counts(rows, counts);
  counts.notes.push_back(describe(rows));
  note_end(rows, counts);
  if (room) {
    counts.notes.push_back(
        fmt::format("ambient from {}: {}", mapping.ambient_file, describe(room->rows())));
    note_end(room->rows(), counts);
  }
  return counts;
}

} // namespace tiltfin
