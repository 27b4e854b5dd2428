#pragma once
// Growing waves of a cavity with a warm and a cold wall, in units of its free-fall rate.
#include "solver/stability.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "validation/reference.hpp"

namespace tiltfin::validation {

/// Of a mode, in units of the free-fall rate.
struct Wave {
  double growth = 0.0;
  double frequency = 0.0;
};

/// sqrt(g beta dT / width), gravity along y, warm west, cold east [1/s].
inline double free_fall_rate(const Problem& problem) {
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  return std::sqrt(-problem.gravity_y * problem.air.expansion * warmer / problem.mesh.x.length());
}

/// Those nearest to neutral at the `expected` frequencies, in the same units.
inline std::vector<Wave> waves(const Problem& problem, const State& state,
                               const std::vector<double>& expected) {
  const double rate = free_fall_rate(problem);
  StabilityOptions options;
  options.frequencies.clear();
  for (const double frequency : expected) {
    options.frequencies.push_back(frequency * rate / time_scale_rate(problem, state));
  }
  std::vector<Wave> found;
  for (const Mode& mode : leading_modes(problem, state, options).modes) {
    found.push_back({mode.growth / rate, mode.frequency / rate});
  }
  return found;
}

/// The fastest growing wave, extrapolated from the two meshes with second order. Waves of the two
/// are one when their frequencies differ by less than `same`.
inline Wave fastest(const Solution& solution, const std::vector<double>& expected, double same) {
  const std::vector<Wave> fine = waves(solution.problem, solution.state, expected);
  const std::vector<Wave> coarse =
      waves(*solution.coarse_problem, *solution.coarse_state, expected);
  REQUIRE_FALSE(fine.empty());
  REQUIRE_FALSE(coarse.empty());
  Wave best{.growth = -1e9};
  for (const Wave& wave : fine) {
    const auto partner =
        std::min_element(coarse.begin(), coarse.end(), [&wave](const Wave& a, const Wave& b) {
          return std::abs(a.frequency - wave.frequency) < std::abs(b.frequency - wave.frequency);
        });
    if (std::abs(partner->frequency - wave.frequency) > same) {
      continue;
    }
    const double growth = wave.growth + (wave.growth - partner->growth) / 3.0;
    const double frequency = wave.frequency + (wave.frequency - partner->frequency) / 3.0;
    if (growth > best.growth) {
      best = {growth, frequency};
    }
  }
  return best;
}

} // namespace tiltfin::validation
