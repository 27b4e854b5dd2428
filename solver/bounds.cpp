#include "solver/bounds.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {

namespace {

constexpr double logger_resolution = 0.1; // K
constexpr double worth_telling = 0.01;    // of the range of temperatures

} // namespace

double coldest_outside(const std::array<Side, 4>& sides) {
  double coldest = std::numeric_limits<double>::infinity();
  for (const Side& side : sides) {
    if (side.kind != SideKind::insulated && side.kind != SideKind::symmetry) {
      coldest = std::min(coldest, side.temperature);
    }
  }
  return coldest;
}

double undershoot(const Problem& problem, const State& state) {
  const double outside = coldest_outside(problem);
  const double coldest = *std::ranges::min_element(state.temperature);
  return std::isfinite(outside) ? std::max(0.0, outside - coldest) : 0.0;
}

double allowed_undershoot(double range) {
  return std::max(logger_resolution, worth_telling * range);
}

bool is_too_cold(const Problem& problem, const State& state) {
  const auto [cold, hot] = std::ranges::minmax(state.temperature);
  return undershoot(problem, state) > allowed_undershoot(hot - cold);
}

} // namespace tiltfin
