#include "cases/file/bench_case.hpp"

#include "cases/file/conditions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

constexpr const char* column_words = "a column's name in quotes, or its number from 1 to 9999";

/// Of a stretch of time.
const KeyTable& stretch_keys() {
  static const KeyTable keys{{.name = "from_min",
                              .bounds = minutes_of_zero_or_more(),
                              .without = "the beginning",
                              .meaning = "where it begins"},
                             {.name = "to_min",
                              .bounds = minutes_above_zero(),
                              .without = "the end",
                              .meaning = "where it ends"}};
  return keys;
}

} // namespace

const KeyTable& mapping_keys() {
  static const KeyTable keys{{.name = "time",
                              .allowed = "a column, or a list of two",
                              .without = "the first column",
                              .meaning = "column of time; two: of the date and the time of day"},
                             {.name = "time_unit",
                              .options = {"s", "min", "h", "ms", "stamp"},
                              .without = "as the log shows",
                              .meaning = "of the column of time"},
                             {.name = "temperature",
                              .allowed = "a column, or a list of up to 256",
                              .without = "given for all or for the log",
                              .meaning = "columns of the measured temperature"},
                             {.name = "several",
                              .options = {"mean", "hottest"},
                              .without = "mean",
                              .meaning = "what is taken of several columns"},
                             {.name = "ambient",
                              .allowed = column_words,
                              .without = "ambient_c",
                              .meaning = "column of the room's temperature"},
                             {.name = "ambient_c",
                              .bounds = between(-60.0, 300.0),
                              .without = "ambient",
                              .meaning = "a constant room temperature"},
                             {.name = "ambient_file",
                              .allowed = "a path from the case file",
                              .without = "the log itself",
                              .meaning = "another log that holds the room's temperature"},
                             {.name = "ambient_time",
                              .allowed = "a column, or a list of two",
                              .without = "the first column",
                              .meaning = "column of time in that log"},
                             {.name = "power",
                              .allowed = column_words,
                              .without = "power_w",
                              .meaning = "column of power"},
                             {.name = "power_w",
                              .bounds = power_above_zero(),
                              .without = "power",
                              .meaning = "a constant power"},
                             {.name = "delimiter",
                              .options = {",", ";", "|", "\t", "tab"},
                              .without = "as the log shows",
                              .meaning = "between the columns"},
                             {.name = "orientation",
                              .allowed = orientation_words(),
                              .without = "given for all or for the log",
                              .meaning = "how the machine stood"},
                             {.name = "panel",
                              .allowed = "a panel state of the case",
                              .without = "its only one",
                              .meaning = "which walls were off"}};
  return keys;
}

const KeyTable& part_of_log_keys() {
  static const KeyTable keys = joined(stretch_keys(), {{.name = "power_w",
                                                        .bounds = power_above_zero(),
                                                        .without = "that of the log",
                                                        .meaning = "a constant power"}});
  return keys;
}

namespace {

const KeyTable& log_keys() {
  static const KeyTable keys = joined(
      mapping_keys(),
      joined(
          joined({{.name = "file", .allowed = "a path from the case file", .meaning = "the log"}},
                 stretch_keys()),
          {{.name = "parts",
            .without = "the whole log",
            .table = &part_of_log_keys(),
            .is_list = true,
            .meaning = "stretches of the log, each a soak"}}));
  return keys;
}

/// A column's name or number.
std::string column(const TomlTable& table, const std::string& key, const TomlValue& item) {
  const bool is_number = item.kind == TomlValue::Kind::number && item.is_whole &&
                         item.number >= 1.0 && item.number <= 9999.0;
  if (is_number) {
    return show(item.number);
  }
  if (item.kind != TomlValue::Kind::text || item.text.empty()) {
    refuse(table, key, show(item), column_words);
  }
  return item.text;
}

/// One column or a list of up to `most`.
Keys columns(const TomlTable& table, const std::string& key, std::size_t most) {
  const TomlValue& value = *find(table, key);
  if (value.kind != TomlValue::Kind::list) {
    return {column(table, key, value)};
  }
  if (value.items.empty() || value.items.size() > most) {
    refuse(table, key, show(value), fmt::format("a column, or a list of 1 to {} of them", most));
  }
  Keys names;
  for (const TomlValue& item : value.items) {
    names.push_back(column(table, key, item));
  }
  return names;
}

std::string beside(const std::string& case_file, const std::string& file) {
  const std::filesystem::path path(file);
  return path.is_absolute() ? file
                            : (std::filesystem::path(case_file).parent_path() / path).string();
}

char read_delimiter(const TomlTable& table) {
  const std::string found = choice(table, "delimiter");
  return found == "tab" ? '\t' : found.front();
}

/// Overwrites what the table gives. Of ambient, ambient_c and ambient_file the nearest table wins.
void read_mapping(const TomlTable& table, LogMapping& mapping) {
  if (find(table, "time") != nullptr) {
    mapping.time = columns(table, "time", 2);
  }
  if (find(table, "time_unit") != nullptr) {
    mapping.time_unit = choice(table, "time_unit");
  }
  if (find(table, "temperature") != nullptr) {
    mapping.temperature = columns(table, "temperature", 256);
  }
  if (find(table, "several") != nullptr) {
    mapping.takes_hottest = choice(table, "several") == "hottest";
  }
  if (find(table, "ambient_c") != nullptr) {
    mapping.ambient_c = number(table, "ambient_c");
    if (find(table, "ambient") != nullptr || find(table, "ambient_file") != nullptr) {
      refuse(table, "ambient_c", "a constant beside a column or a file",
             "either ambient_c, or ambient with or without ambient_file");
    }
  }
  if (find(table, "ambient") != nullptr) {
    mapping.ambient = column(table, "ambient", *find(table, "ambient"));
    mapping.ambient_c.reset();
    mapping.ambient_file.clear();
  }
  if (find(table, "ambient_file") != nullptr) {
    mapping.ambient_file = beside(table.file, text(table, "ambient_file"));
    mapping.ambient_c.reset();
  }
  if (find(table, "ambient_time") != nullptr) {
    mapping.ambient_time = columns(table, "ambient_time", 2);
  }
  if (find(table, "power") != nullptr) {
    mapping.power = column(table, "power", *find(table, "power"));
  }
  if (find(table, "power_w") != nullptr) {
    mapping.power_w = number(table, "power_w");
    if (find(table, "power") != nullptr) {
      refuse(table, "power_w", "a constant beside a column", "either power_w or power");
    }
    mapping.power.clear();
  }
  if (find(table, "delimiter") != nullptr) {
    mapping.delimiter = read_delimiter(table);
  }
}

void check_mapping(const TomlTable& table, const LogMapping& mapping) {
  if (mapping.temperature.empty()) {
    refuse(table, "temperature", "nothing", "a column or a list of columns, here or in [bench]");
  }
  if (!mapping.ambient_c && mapping.ambient.empty()) {
    refuse(table, "ambient", "nothing",
           "a column, or ambient_c with a constant, here or in [bench]");
  }
  if (mapping.power.empty() && mapping.power_w == 0.0) {
    refuse(table, "power_w", "nothing",
           "a number above 0, or power with a column, here or in [bench]");
  }
}

/// The stretch of time, and what else a part of a log says for itself.
BenchSoak read_part(const TomlTable& table, BenchSoak soak) {
  LogMapping& mapping = soak.mapping;
  if (find(table, "from_min") != nullptr) {
    mapping.from_min = number(table, "from_min");
    soak.is_part = true;
  }
  if (find(table, "to_min") != nullptr) {
    mapping.to_min = number(table, "to_min");
    soak.is_part = true;
  }
  if (mapping.to_min && *mapping.to_min <= mapping.from_min) {
    refuse(table, "to_min", show(*mapping.to_min), "more than from_min");
  }
  if (find(table, "power_w") != nullptr) {
    mapping.power_w = number(table, "power_w");
    mapping.power.clear();
  }
  check_mapping(table, mapping);
  return soak;
}

/// A [[bench.log]]: one soak, or one for each of its parts.
std::vector<BenchSoak> read_log_entry(const TomlTable& table, const TomlTable& bench,
                                      const LogMapping& shared, const Keys& panels) {
  BenchSoak soak;
  soak.mapping = shared;
  soak.file = beside(table.file, text(table, "file"));
  read_mapping(table, soak.mapping);
  const TomlTable& where = find(table, "orientation") != nullptr ? table : bench;
  const TomlValue& orientation =
      needed(where, "orientation", "an orientation's name, or a tilt in degrees");
  soak.orientation = read_orientation(where, "orientation", orientation).name;
  const TomlTable& which = find(table, "panel") != nullptr ? table : bench;
  if (find(which, "panel") == nullptr && panels.size() == 1) {
    soak.panel = panels.front();
  } else {
    soak.panel = choice(which, "panel", panels);
  }
  std::vector<BenchSoak> soaks;
  for (const TomlTable& part : tables_at(table, "parts")) {
    soaks.push_back(read_part(part, soak));
    soaks.back().is_part = true;
  }
  if (soaks.empty()) {
    soaks.push_back(read_part(table, soak));
  } else if (find(table, "from_min") != nullptr || find(table, "to_min") != nullptr) {
    refuse(table, "parts", "parts beside from_min or to_min", "one or the other");
  }
  return soaks;
}

} // namespace

const KeyTable& bench_keys() {
  static const KeyTable keys = joined(
      mapping_keys(), {{.name = "fit",
                        .options = {"power-law", "line"},
                        .fallback = "power-law",
                        .meaning = "of rise over power"},
                       {.name = "at",
                        .options = {"core", "base"},
                        .fallback = "core",
                        .meaning = "where it was measured"},
                       {.name = "drift_percent",
                        .bounds = between(0.01, 10.0),
                        .fallback = 0.5,
                        .meaning = "of the rise that a settled "
                                   "soak may drift"},
                       {.name = "log", .table = &log_keys(), .is_list = true, .meaning = "a log"}});
  return keys;
}

std::optional<Bench> read_bench(const TomlTable& top, const std::vector<std::string>& panels) {
  if (find(top, "bench") == nullptr) {
    return std::nullopt;
  }
  const TomlTable table = table_at(top, "bench");
  Bench bench;
  bench.fits_line = choice(table, "fit") == "line";
  bench.is_at_base = choice(table, "at") == "base";
  bench.drift_share = 0.01 * number(table, "drift_percent");
  LogMapping shared;
  read_mapping(table, shared);
  for (const TomlTable& entry : tables_at(table, "log")) {
    for (const BenchSoak& soak : read_log_entry(entry, table, shared, panels)) {
      bench.soaks.push_back(soak);
    }
  }
  if (bench.soaks.empty()) {
    refuse(table, "log", "no log", "at least one [[bench.log]]");
  }
  return bench;
}

} // namespace tiltfin
