#include "cases/bench/same_machine.hpp"

#include "cases/file/case.hpp"
#include "cases/file/case_difference.hpp"
#include "cases/file/case_keys.hpp"
#include "cases/file/solved_text.hpp"
#include "cases/input/toml_reader.hpp"
#include "cases/input/whole_file.hpp"
#include "post/fits/groups.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>

namespace tiltfin {
namespace {

constexpr double widest_power_ratio = 2.0; // a power law between solved powers holds no farther
constexpr double doubtful_ratio = 1.5;     // models of one machine are apart by a third at most

/// "on upright, on flat-up".
std::string placings_text(const Computed& computed) {
  std::vector<std::string> names;
  for (const Placing& placing : computed.listed) {
    const std::string name = placing.panel + " " + placing.orientation;
    if (std::ranges::find(names, name) == names.end()) {
      names.push_back(name);
    }
  }
  return fmt::format("{}", fmt::join(names, ", "));
}

/// How the case of the results differs from that of the logs; "" where it does not.
std::string case_difference(const Case& solved, const Case& logged) {
  if (text_that_is_solved(solved.tree, false) == text_that_is_solved(logged.tree, false)) {
    return "";
  }
  for (const Key& key : case_keys()) {
    if (key.table == nullptr || key.name == "bench" || key.name == "spacing" ||
        key.name == "conditions") {
      continue;
    }
    const std::vector<KeyDifference> found = differing_keys(solved, logged, key.name);
    if (!found.empty()) {
      return fmt::format("{} is {} in the results' case.toml and {} in {}", found[0].key,
                         found[0].first, found[0].second, logged.file);
    }
  }
  return "";
}

std::string doubt_of_case(const std::string& directory, const std::string& case_file) {
  const std::filesystem::path copy = std::filesystem::path(directory) / "case.toml";
  if (case_file.empty() || !std::filesystem::exists(copy)) {
    return "";
  }
  try {
    const Case solved = parse_case(read_whole_file(copy, "the case of the results"), copy.string());
    const std::string difference = case_difference(solved, read_case(case_file));
    return difference.empty() ? "" : "the results are of another case: " + difference;
  } catch (const InputError&) {
    return fmt::format("{} is damaged, so that nothing says of which case the results are",
                       copy.string());
  }
}

std::string doubt_of_rises(const Comparison& comparison) {
  const std::vector<ComparedPoint>& points = comparison.points;
  if (points.size() < 2) {
    return "";
  }
  const auto [low, high] = std::ranges::minmax(points, {}, &ComparedPoint::deviation);
  const double least = 1.0 + low.deviation;
  const double most = 1.0 + high.deviation;
  if (least <= doubtful_ratio && most >= 1.0 / doubtful_ratio) {
    return "";
  }
  return fmt::format("every computed rise is {:.2g} to {:.2g} times the measured one: powers, "
                     "units, sensors or the machine itself are not the same",
                     least, most);
}

} // namespace

void check_is_held(const Computed& computed, std::span<const MeasuredPoint> measured,
                   const std::string& directory) {
  for (const MeasuredPoint& point : measured) {
    if (std::ranges::find(computed.listed, placing_of(point)) == computed.listed.end()) {
      throw InputError(fmt::format(
          "{}: found no condition of panel state {} and orientation {}, which a log is of, allowed "
          "results that hold those of every log (solve with --resume, or leave the log out); they "
          "hold {}",
          directory, point.panel, point.orientation, placings_text(computed)));
    }
    double nearest_ratio = 0.0; // 0: nothing is solved there, which the comparison says
    for (const ComputedPoint& solved : computed.points) {
      if (placing_of(solved) == placing_of(point)) {
        const double ratio =
            std::max(solved.power_w, point.power_w) / std::min(solved.power_w, point.power_w);
        nearest_ratio = nearest_ratio == 0.0 ? ratio : std::min(nearest_ratio, ratio);
      }
    }
    if (nearest_ratio > widest_power_ratio) {
      throw InputError(fmt::format(
          "{}: found no power within a factor of {:g} of a log's {:.4g} W ({}, {}), allowed "
          "results "
          "with such a power (add it to conditions.powers_w and solve with --resume)",
          directory, widest_power_ratio, point.power_w, point.panel, point.orientation));
    }
  }
}

std::vector<std::string> doubts(const Comparison& comparison, const std::string& directory,
                                const std::string& case_file) {
  std::vector<std::string> all;
  for (const std::string& doubt :
       {doubt_of_case(directory, case_file), doubt_of_rises(comparison)}) {
    if (!doubt.empty()) {
      all.push_back(doubt);
    }
  }
  return all;
}

} // namespace tiltfin
