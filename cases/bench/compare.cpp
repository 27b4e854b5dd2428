#include "cases/bench/compare.hpp"

#include "cases/bench/same_machine.hpp"
#include "cases/file/case.hpp"
#include "cases/file/stored.hpp"
#include "cases/input/toml_reader.hpp"
#include "post/reports/summary.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

Computed read_results(const std::string& directory) {
  const std::string path = (std::filesystem::path(directory) / "summary.json").string();
  const std::string text = read_stored_json(path, crc32_of_case_in(directory),
                                            "a directory that `tiltfin solve` has written");
  try {
    return read_summary(text);
  } catch (const std::runtime_error& error) {
    throw InputError(path + ": " + error.what());
  }
}

std::vector<MeasuredPoint> measured_points(const BenchResult& bench, const Computed& computed,
                                           bool panel_is_given) {
  std::set<std::string> panels;
  for (const ComputedPoint& point : computed.points) {
    panels.insert(point.panel);
  }
  std::vector<MeasuredPoint> points;
  for (const BenchRow& row : bench.rows) {
    if (std::isfinite(row.soak.rise_k) && row.soak.rise_k > 0.0) {
      const bool takes_only = !panel_is_given && panels.size() == 1;
      points.push_back({takes_only ? *panels.begin() : row.panel,
                        row.orientation,
                        row.soak.power_w,
                        {row.soak.rise_k, row.soak.rise_half_k}});
    }
  }
  return points;
}

std::vector<Unknown> unknowns_of(const std::vector<std::string>& names) {
  std::vector<Unknown> unknowns;
  for (const std::string& text : names) {
    for (const Unknown unknown : {Unknown::core_to_base, Unknown::heat_share, Unknown::depth}) {
      if (text == name(unknown)) {
        unknowns.push_back(unknown);
      }
    }
  }
  return unknowns;
}

void check_use(const std::vector<std::string>& use, const std::vector<MeasuredPoint>& points) {
  std::set<std::string> known;
  for (const MeasuredPoint& point : points) {
    known.insert(point.orientation);
  }
  for (const std::string& orientation : use) {
    if (!known.contains(orientation)) {
      throw InputError(fmt::format("--using: found '{}', allowed {}", orientation,
                                   join(std::vector<std::string>(known.begin(), known.end()))));
    }
  }
}

/// Every soak that has a solved counterpart, with what the computed cooler says of its length.
std::vector<SoakLength> soak_lengths(const BenchResult& bench, const Computed& computed,
                                     const ComparisonReport& report, const Physical& physical,
                                     bool panel_is_given) {
  const bool takes_only = !panel_is_given && !report.plain.points.empty();
  std::vector<SoakLength> soaks;
  for (const BenchRow& row : bench.rows) {
    SoakLength soak{.panel = takes_only ? report.plain.points.front().measured.panel : row.panel,
                    .orientation = row.orientation,
                    .power_w = row.soak.power_w,
                    .status = row.soak.status,
                    .minutes = row.soak.minutes,
                    .measured_constant_min = row.soak.time_constant_min,
                    .log = row.log};
    const double base =
        base_rise_at(computed, {soak.panel, soak.orientation}, soak.power_w).rise_k.value;
    if (!std::isfinite(base)) {
      continue;
    }
    const MeasuredPoint point{soak.panel, soak.orientation, soak.power_w, {}};
    soak.computed_rise_k = predict(computed, point, physical, report.is_at_base).rise_k.value;
    soak.time_constant_s = computed.metal_capacity_j_per_k * base / soak.power_w;
    soaks.push_back(std::move(soak));
  }
  return soaks;
}

} // namespace

ComparisonReport compare_with_bench(const CompareArguments& arguments, const BenchInput& input,
                                    const BenchResult& bench) {
  if (arguments.unknowns.size() > 2) {
    throw InputError(fmt::format("--calibrate: found {} unknowns ({}), allowed one or two",
                                 arguments.unknowns.size(), join(arguments.unknowns)));
  }
  const Computed computed = read_results(arguments.results);
  const bool from_case = arguments.logs.logs.front().ends_with(".toml");
  const std::vector<MeasuredPoint> points =
      measured_points(bench, computed, from_case || !arguments.logs.panels.empty());
  check_use(arguments.use, points);
  check_is_held(computed, points, arguments.results);
  if (arguments.unknowns.empty() && !arguments.use.empty()) {
    throw InputError("--using: found no --calibrate, allowed together with it");
  }
  Physical as_given;
  as_given.core_to_base_k_per_w = computed.core.core_to_base_k_per_w;
  ComparisonReport report;
  report.title = computed.title;
  report.outside = computed.outside;
  report.is_at_base = input.context.is_at_base;
  report.used = arguments.use;
  report.plain = compare(computed, points, as_given, report.is_at_base);
  if (report.plain.points.empty()) {
    throw InputError(fmt::format("{}: found no solved condition of a panel state and orientation "
                                 "that was measured, allowed at least one",
                                 arguments.results));
  }
  report.doubts = doubts(report.plain, arguments.results,
                         from_case ? arguments.logs.logs.front() : std::string());
  report.soaks =
      soak_lengths(bench, computed, report, as_given, from_case || !arguments.logs.panels.empty());
  if (!arguments.unknowns.empty()) {
    report.is_calibrated = true;
    report.calibration = calibrate(computed, points, unknowns_of(arguments.unknowns), arguments.use,
                                   report.is_at_base);
    if (report.calibration.refusal.empty()) {
      report.calibrated = compare(computed, points, report.calibration.physical, report.is_at_base);
    }
  }
  return report;
}

} // namespace tiltfin
