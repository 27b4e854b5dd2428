#include "cases/bench/bench.hpp"

#include "cases/bench/log_part.hpp"
#include "cases/bench/soak_checks.hpp"
#include "cases/file/case.hpp"
#include "cases/file/conditions.hpp"
#include "cases/file/core_limit.hpp"
#include "cases/logs/log_values.hpp"
#include "post/fits/soak_steps.hpp"
#include "post/fits/warm_up.hpp"
#include "solver/condition.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <span>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr int means_drawn = 60;

[[noreturn]] void refuse_option(const std::string& option, const std::string& found,
                                const std::string& allowed) {
  throw InputError(fmt::format("{}: found {}, allowed {}", option, found, allowed));
}

bool is_case_file(const std::string& path) {
  return std::filesystem::path(path).extension() == ".toml";
}

/// Any option that describes logs, which a case file describes itself.
bool has_mapping(const LogArguments& arguments) {
  return !arguments.time.empty() || !arguments.time_unit.empty() ||
         !arguments.temperatures.empty() || !arguments.ambient.empty() ||
         !arguments.ambient_file.empty() || arguments.ambient_c || !arguments.power.empty() ||
         !arguments.powers_w.empty() || !arguments.orientations.empty() ||
         !arguments.panels.empty() || !arguments.parts.empty() || arguments.hottest ||
         arguments.is_at_base;
}

/// The value of log `k` of `n` in a list of one or n values.
template <class T>
T value_for(const std::string& option, const std::vector<T>& values, std::size_t k, std::size_t n,
            const T& fallback) {
  if (values.empty()) {
    return fallback;
  }
  if (values.size() != 1 && values.size() != n) {
    refuse_option(option, fmt::format("{} values", values.size()),
                  fmt::format("one for all logs, or one for each of the {}", n));
  }
  return values.size() == 1 ? values.front() : values[k];
}

std::string orientation_name(const std::string& text) {
  try {
    const std::optional<double> tilt = parse_number(text);
    if (tilt && !(std::abs(*tilt) <= 360.0)) { // as in a case
      refuse_option("--orientation", "'" + text + "'", orientation_words());
    }
    return tilt ? tilted_orientation(*tilt).name : named_orientation(text).name;
  } catch (const std::invalid_argument&) {
    refuse_option("--orientation", "'" + text + "'", orientation_words());
  }
}

LogMapping shared_mapping(const LogArguments& arguments) {
  LogMapping mapping;
  if (!arguments.time.empty()) {
    mapping.time = arguments.time;
  }
  if (mapping.time.size() > 2) {
    refuse_option("--time", fmt::format("{} columns", mapping.time.size()),
                  "one column, or a date and a time");
  }
  mapping.time_unit = arguments.time_unit;
  mapping.temperature = arguments.temperatures;
  mapping.takes_hottest = arguments.hottest;
  mapping.ambient = arguments.ambient;
  mapping.ambient_file = arguments.ambient_file;
  if (!arguments.ambient_time.empty()) {
    mapping.ambient_time = arguments.ambient_time;
  }
  mapping.ambient_c = arguments.ambient_c;
  mapping.power = arguments.power;
  if (mapping.temperature.empty()) {
    refuse_option("--temperature", "nothing", "one or more columns of the logs");
  }
  if (mapping.ambient_c.has_value() != mapping.ambient.empty()) {
    refuse_option("--ambient", mapping.ambient_c ? "both a column and a constant" : "nothing",
                  "a column with --ambient (in --ambient-file, if given), or --ambient-c");
  }
  const bool parts_may_tell = !arguments.parts.empty() && arguments.powers_w.empty();
  if (mapping.power.empty() != !arguments.powers_w.empty() && !parts_may_tell) {
    refuse_option("--power-w", mapping.power.empty() ? "nothing" : "both a number and a column",
                  "a power in W, or a column with --power");
  }
  return mapping;
}

BenchInput from_case(const LogArguments& arguments) {
  if (arguments.logs.size() > 1) {
    refuse_option(arguments.logs.front(), "a case file beside other files",
                  "one case file, or logs only");
  }
  const std::string& path = arguments.logs.front();
  if (has_mapping(arguments)) {
    refuse_option(path, "a case file beside options that describe logs",
                  "one or the other: the case file's [bench] describes its logs");
  }
  const Case the_case = read_case(path);
  if (!the_case.bench) {
    refuse_option(path, "no [bench] table", "a case file with [bench] and [[bench.log]]");
  }
  BenchInput input{*the_case.bench, {}};
  input.bench.fits_line = input.bench.fits_line || arguments.fits_line;
  input.context.title = the_case.title;
  input.context.core = core_limit(the_case);
  const std::optional<Metal> metal = metal_of(the_case.cooler);
  input.context.metal_capacity_j_per_k = metal ? metal->mass() * aluminium_heat : nan;
  return input;
}

BenchInput from_options(const LogArguments& arguments) {
  BenchInput input;
  const LogMapping mapping = shared_mapping(arguments);
  const std::size_t n = arguments.logs.size();
  if (n > 1 && !arguments.parts.empty()) {
    refuse_option("--part", fmt::format("it beside {} logs", n),
                  "it with one log, or a case file with parts in [[bench.log]]");
  }
  for (std::size_t k = 0; k < n; ++k) {
    BenchSoak soak;
    soak.file = arguments.logs[k];
    if (is_case_file(soak.file)) {
      refuse_option(soak.file, "a case file beside other files", "one case file, or logs only");
    }
    soak.mapping = mapping;
    soak.mapping.power_w = value_for("--power-w", arguments.powers_w, k, n, 0.0);
    if (arguments.parts.empty() && soak.mapping.power.empty() && !(soak.mapping.power_w > 0.0)) {
      refuse_option("--power-w", fmt::format("{:g}", soak.mapping.power_w), "a number above 0");
    }
    soak.orientation = orientation_name(
        value_for("--orientation", arguments.orientations, k, n, std::string("upright")));
    soak.panel = value_for("--panel", arguments.panels, k, n, std::string("as-measured"));
    for (const std::string& part : arguments.parts) {
      input.bench.soaks.push_back(part_of_log(part, soak));
    }
    if (arguments.parts.empty()) {
      input.bench.soaks.push_back(soak);
    }
  }
  input.bench.fits_line = arguments.fits_line;
  input.bench.is_at_base = arguments.is_at_base;
  input.context.title = "Bench logs";
  input.context.core = {.room_temperature_c = arguments.room_c,
                        .limit_temperature_c = arguments.limit_c,
                        .core_to_base_k_per_w = arguments.core_to_base_k_per_w};
  if (!(arguments.limit_c > arguments.room_c)) {
    refuse_option("--limit-c", fmt::format("{:g}", arguments.limit_c),
                  fmt::format("more than the room's {:g}", arguments.room_c));
  }
  return input;
}

/// How long a soak that did not settle should have been: by its fitted approach, else by the
/// cooler's metal and the rise per power that it had come to, which was not all; "" without either.
std::string length_verdict(const Soak& soak, const std::vector<SoakMean>& log, double capacity) {
  if (soak.status == SoakStatus::settled || log.empty()) {
    return "";
  }
  if (soak.status == SoakStatus::extrapolated) {
    return "; " + soak_length_text(soak.minutes, soak.time_constant_min * minute_s);
  }
  const double metal = capacity * log.back().rise_k / soak.power_w;
  return metal > 0.0 ? "; not settled: " + soak_length_text(soak.minutes, metal, true) +
                           " by its metal and the rise it had come to"
                     : "";
}

/// What was read of a soak.
struct Reading {
  LogCounts counts;
  MinuteMeans minutes;
  std::vector<SoakMean> means;
};

Reading read_soak(const BenchSoak& soak) {
  Reading reading;
  reading.counts = read_log(soak.file, soak.mapping, [&](const LogSample& sample) {
    reading.minutes.add(sample.time_s, sample.temperature_c - sample.ambient_c, sample.power_w,
                        sample.ambient_c);
  });
  reading.means = reading.minutes.means();
  return reading;
}

void add_bad_rows(const LogCounts& counts, std::vector<BadRow>& bad_rows) {
  for (const BadRow& bad : counts.bad_rows) { // parts of one log see the same rows
    const bool is_known = std::ranges::any_of(bad_rows, [&](const BadRow& other) {
      return other.file == bad.file && other.line == bad.line;
    });
    if (!is_known) {
      bad_rows.push_back(bad);
    }
  }
}

BenchRow reduce(const BenchSoak& soak, const Reading& reading, const SoakRule& rule,
                double capacity) {
  const LogCounts& counts = reading.counts;
  const std::vector<SoakMean>& means = reading.means;
  BenchRow row;
  row.panel = soak.panel;
  row.orientation = soak.orientation;
  row.file = soak.file;
  row.soak = reduce_soak(means, rule);
  row.log = thinned(means, means_drawn);
  if (!means.empty() && row.log.back().time_s < means.back().time_s) {
    row.log.push_back(means.back());
  }
  if (means.empty()) { // what is known of it all the same
    row.soak.power_w = soak.mapping.power.empty() ? soak.mapping.power_w : nan;
    row.soak.ambient_c = soak.mapping.ambient_c.value_or(nan);
  }
  row.soak.warning += length_verdict(row.soak, row.log, capacity);
  if (!means.empty() && !(row.soak.power_w > 0.0)) {
    throw InputError(fmt::format("{}: found a mean power of {:g} W, allowed more than 0", soak.file,
                                 row.soak.power_w));
  }
  row.rows = counts.rows;
  row.used = counts.used;
  row.outside = counts.outside;
  row.missing = counts.missing;
  row.bad = counts.bad;
  row.bad_ambient = counts.bad_ambient;
  row.empty_minutes = reading.minutes.empty_minutes();
  row.minutes_per_mean = reading.minutes.minutes_per_mean();
  row.notes = counts.notes;
  check_soak(soak, counts, row);
  return row;
}

/// The soaks of a whole log with a column of power, one for each step; none where it is one soak.
std::vector<BenchSoak> soaks_of_steps(const BenchSoak& soak, std::span<const SoakMean> means) {
  std::vector<BenchSoak> soaks;
  const std::vector<PowerStep> steps = steps_of_power(means);
  const bool is_whole = steps.size() == 1 && steps[0].from_s <= means.front().time_s &&
                        steps[0].to_s >= means.back().time_s;
  if (is_whole) {
    return soaks;
  }
  for (const PowerStep& step : steps) {
    soaks.push_back(soak);
    soaks.back().mapping.from_min = step.from_s / minute_s;
    soaks.back().mapping.to_min = step.to_s / minute_s;
  }
  return soaks;
}

std::string steps_text(std::span<const BenchSoak> soaks, std::span<const BenchRow> rows) {
  std::string text = fmt::format("{} step{} of power in column '{}'", soaks.size(),
                                 soaks.size() == 1 ? "" : "s", soaks[0].mapping.power);
  for (std::size_t k = 0; k < soaks.size(); ++k) {
    text += fmt::format("{} {:g} to {:g} min at {:.4g} W", k == 0 ? ":" : ",",
                        soaks[k].mapping.from_min, *soaks[k].mapping.to_min, rows[k].soak.power_w);
  }
  return text + "; what lies between them is left out";
}

/// The rows of one [[bench.log]]: its soak, or one for each step of power in it.
std::vector<BenchRow> rows_of(const BenchSoak& soak, const SoakRule& rule, double capacity,
                              std::vector<BadRow>& bad_rows) {
  const Reading reading = read_soak(soak);
  add_bad_rows(reading.counts, bad_rows);
  if (soak.is_part || reading.means.empty()) {
    return {reduce(soak, reading, rule, capacity)};
  }
  if (soak.mapping.power.empty()) {
    check_is_one_soak(soak, reading.means);
    return {reduce(soak, reading, rule, capacity)};
  }
  const std::vector<BenchSoak> steps = soaks_of_steps(soak, reading.means);
  if (steps.empty()) {
    BenchRow row = reduce(soak, reading, rule, capacity);
    row.soak.warning += power_warning(reading.means, row.soak.warning.empty());
    return {row};
  }
  std::vector<BenchRow> rows;
  rows.reserve(steps.size());
  for (const BenchSoak& step : steps) {
    rows.push_back(reduce(step, read_soak(step), rule, capacity));
  }
  for (BenchRow& row : rows) {
    row.notes.push_back(steps_text(steps, rows));
  }
  return rows;
}

} // namespace

BenchInput bench_input(const LogArguments& arguments) {
  BenchInput input =
      is_case_file(arguments.logs.front()) ? from_case(arguments) : from_options(arguments);
  input.context.is_at_base = input.bench.is_at_base;
  input.context.fits_line = input.bench.fits_line;
  return input;
}

BenchResult reduce_bench(const BenchInput& input) {
  BenchResult result;
  const SoakRule rule{.drift_share = input.bench.drift_share};
  for (const BenchSoak& soak : input.bench.soaks) {
    for (BenchRow& row :
         rows_of(soak, rule, input.context.metal_capacity_j_per_k, result.bad_rows)) {
      result.rows.push_back(std::move(row));
    }
  }
  result.trends = make_bench_trends(result.rows, input.context);
  return result;
}

std::string bad_row_list(const BenchResult& result) {
  std::string text;
  for (const BadRow& bad : result.bad_rows) {
    text += fmt::format("{}:{}: bad row left out: {}\n", bad.file, bad.line, bad.why);
  }
  std::vector<std::string> files;
  for (const BenchRow& row : result.rows) {
    const long long n = row.bad + row.bad_ambient;
    if (n > 0 && std::ranges::find(files, row.file) == files.end()) {
      files.push_back(row.file);
      text += fmt::format("{}: {} bad row{} left out of {}\n", row.file, n, n == 1 ? "" : "s",
                          row.rows);
    }
  }
  return text;
}

} // namespace tiltfin
