#include "cases/bench/soak_checks.hpp"

#include "cases/input/input_error.hpp"
#include "post/fits/soak_steps.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace tiltfin {
namespace {

constexpr double assumed_longest_min = 2.0 * 24.0 * 60.0; // two days: a soak takes hours
constexpr double assumed_empty_share = 0.1; // a logger in seconds seldom lacks every tenth minute
constexpr double empty_share_refused = 0.9; // a sample every ten minutes is no soak's log
constexpr double empty_share_said = 0.5;
constexpr double sensor_offset_k = 2.0; // two thermometers of class 1 K against each other

/// The log's times are what they were taken for.
void check_times(const BenchSoak& soak, const LogCounts& counts, BenchRow& row) {
  const double minutes = row.soak.minutes;
  const double share = minutes > 0.0 ? static_cast<double>(row.empty_minutes) / minutes : 0.0;
  if (row.used < 2) {
    return;
  }
  const bool is_odd = share > assumed_empty_share || minutes > assumed_longest_min;
  if (counts.assumes_seconds && is_odd) {
    throw InputError(fmt::format(
        "{}: found times that nothing says the unit of and that as seconds are {:.0f} min with {} "
        "minutes empty, allowed the unit in the heading, or --time-unit (in a case file time_unit) "
        "s, min, h or ms",
        soak.file, minutes, row.empty_minutes));
  }
  if (share > empty_share_refused) {
    throw InputError(fmt::format("{}: found {} of {:.0f} minutes without a sample, allowed a "
                                 "sample in one of ten at least (is the unit of time right?)",
                                 soak.file, row.empty_minutes, minutes));
  }
  if (share > empty_share_said) {
    row.soak.warning +=
        fmt::format("{}{} of {:.0f} minutes have no sample", row.soak.warning.empty() ? "" : "; ",
                    row.empty_minutes, minutes);
  }
}

} // namespace

void check_soak(const BenchSoak& soak, const LogCounts& counts, BenchRow& row) {
  check_times(soak, counts, row);
  const bool has_rise = std::isfinite(row.soak.rise_k);
  const double most = has_rise          ? row.soak.rise_k + row.soak.rise_half_k
                      : row.log.empty() ? 0.0
                                        : row.log.back().rise_k + sensor_offset_k;
  if (most < 0.0) {
    throw InputError(fmt::format("{}: found a core {:.3g} K colder than its room at {:.4g} W, "
                                 "allowed a warmer one (are the columns exchanged?)",
                                 soak.file, has_rise ? -row.soak.rise_k : -row.log.back().rise_k,
                                 row.soak.power_w));
  }
  if (has_rise && row.soak.rise_k - row.soak.rise_half_k <= 0.0) {
    row.soak.status = SoakStatus::unsettled;
    row.soak.warning +=
        fmt::format("{}a rise of {:.2g} K, within {:.2g} K of none: left out",
                    row.soak.warning.empty() ? "" : "; ", row.soak.rise_k, row.soak.rise_half_k);
    row.soak.rise_k = row.soak.rise_error_k = row.soak.rise_half_k = nan;
  }
}

void check_is_one_soak(const BenchSoak& soak, std::span<const SoakMean> means) {
  const std::vector<double> starts = new_starts(means);
  if (starts.empty()) {
    return;
  }
  std::vector<std::string> at;
  std::string parts = "--part 0";
  std::string table = "parts = [{ from_min = 0";
  for (const double start : starts) {
    at.push_back(fmt::format("{:.0f}", start / minute_s));
    parts += fmt::format(":{0}=WATTS --part {0}", at.back());
    table += fmt::format(", to_min = {0}, power_w = ... }}, {{ from_min = {0}", at.back());
  }
  throw InputError(fmt::format(
      "{}: found a temperature that sets off anew after it had come to rest, near minute {}: "
      "several "
      "soaks in one log, allowed one soak at {:g} W; give each its part, {}:=WATTS, in a case file "
      "{}, power_w = ... }}], or the column of power (if it is one soak: --part 0:)",
      soak.file, fmt::join(at, " and "), soak.mapping.power_w, parts, table));
}

std::string power_warning(std::span<const SoakMean> means, bool is_first) {
  const auto [low, high] = std::ranges::minmax(means, {}, &SoakMean::power_w);
  if (high.power_w - low.power_w <= 0.2 * high.power_w) { // as between steps, both ways
    return "";
  }
  return fmt::format("{}power varies from {:.4g} to {:.4g} W: its mean is taken",
                     is_first ? "" : "; ", low.power_w, high.power_w);
}

} // namespace tiltfin
