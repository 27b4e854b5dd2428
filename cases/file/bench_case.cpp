#include "cases/file/bench_case.hpp"

#include "cases/file/conditions.hpp"
#include "cases/geometry/geometry.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

const Keys& mapping_keys() {
  static const Keys keys{"time",      "time_unit",    "temperature",  "several", "ambient",
                         "ambient_c", "ambient_file", "ambient_time", "power",   "power_w",
                         "delimiter", "orientation",  "panel"};
  return keys;
}

Keys with(Keys keys, const Keys& more) {
  keys.insert(keys.end(), more.begin(), more.end());
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
    refuse(table, key, show(item), "a column's name in quotes, or its number from 1 to 9999");
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
  const Keys options{",", ";", "|", "\t", "tab"};
  const std::string found = choice(table, "delimiter", options);
  return found == "tab" ? '\t' : found.front();
}

/// Overwrites what the table gives. Of ambient, ambient_c and ambient_file the nearest table wins.
void read_mapping(const TomlTable& table, LogMapping& mapping) {
  if (find(table, "time") != nullptr) {
    mapping.time = columns(table, "time", 2);
  }
  if (find(table, "time_unit") != nullptr) {
    const Keys units{"s", "min", "h", "ms", "stamp"};
    mapping.time_unit = choice(table, "time_unit", units);
  }
  if (find(table, "temperature") != nullptr) {
    mapping.temperature = columns(table, "temperature", 256);
  }
  if (find(table, "several") != nullptr) {
    const Keys ways{"mean", "hottest"};
    mapping.takes_hottest = choice(table, "several", ways) == "hottest";
  }
  if (find(table, "ambient_c") != nullptr) {
    mapping.ambient_c = number(table, "ambient_c", between(-60.0, 300.0));
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
    mapping.power_w = number(table, "power_w", above_zero());
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
    mapping.from_min = number(table, "from_min", zero_or_more());
  }
  if (find(table, "to_min") != nullptr) {
    mapping.to_min = number(table, "to_min", above_zero());
  }
  if (mapping.to_min && *mapping.to_min <= mapping.from_min) {
    refuse(table, "to_min", show(*mapping.to_min), "more than from_min");
  }
  if (find(table, "power_w") != nullptr) {
    mapping.power_w = number(table, "power_w", above_zero());
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
  const Keys keys{"from_min", "to_min", "power_w"};
  std::vector<BenchSoak> soaks;
  for (const TomlTable& part : tables_at(table, "parts", keys)) {
    soaks.push_back(read_part(part, soak));
  }
  if (soaks.empty()) {
    soaks.push_back(read_part(table, soak));
  } else if (find(table, "from_min") != nullptr || find(table, "to_min") != nullptr) {
    refuse(table, "parts", "parts beside from_min or to_min", "one or the other");
  }
  return soaks;
}

} // namespace

std::optional<Bench> read_bench(const TomlTable& top, const std::vector<PanelState>& panels) {
  if (find(top, "bench") == nullptr) {
    return std::nullopt;
  }
  const TomlTable table =
      table_at(top, "bench", with(mapping_keys(), {"fit", "at", "drift_percent", "log"}));
  Keys names;
  for (const PanelState& panel : panels) {
    names.push_back(panel.name);
  }
  Bench bench;
  const Keys fits{"power-law", "line"};
  bench.fits_line = choice_or(table, "fit", fits, "power-law") == "line";
  const Keys places{"core", "base"};
  bench.is_at_base = choice_or(table, "at", places, "core") == "base";
  bench.drift_share = 0.01 * number_or(table, "drift_percent", between(0.01, 10.0), 0.5);
  LogMapping shared;
  read_mapping(table, shared);
  const Keys keys = with(mapping_keys(), {"file", "from_min", "to_min", "parts"});
  for (const TomlTable& entry : tables_at(table, "log", keys)) {
    for (const BenchSoak& soak : read_log_entry(entry, table, shared, names)) {
      bench.soaks.push_back(soak);
    }
  }
  if (bench.soaks.empty()) {
    refuse(table, "log", "no log", "at least one [[bench.log]]");
  }
  return bench;
}

} // namespace tiltfin
