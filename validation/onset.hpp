#pragma once
// The Rayleigh number at which still air turns over.

#include "solver/stability.hpp"

#include "validation/reference.hpp"

namespace tiltfin::validation {

/// Growth of the least stable mode of still air [1/s]; its modes do not swing.
inline double growth_of(const Problem& problem, const State& still) {
  StabilityOptions options;
  options.frequencies = {0.0};
  const std::vector<Mode> modes = leading_modes(problem, still, options).modes;
  REQUIRE_FALSE(modes.empty());
  return modes.front().growth;
}

/// Where growth(rayleigh) passes through zero, to a millionth, by the secant rule.
template <class Growth>
double critical_rayleigh(Growth growth) {
  double before = 1000.0;
  double now = 4000.0;
  double growth_before = growth(before);
  for (int step = 0; step < 12 && std::abs(now - before) > 1e-6 * now; ++step) {
    const double growth_now = growth(now);
    const double next = now - growth_now * (now - before) / (growth_now - growth_before);
    before = now;
    growth_before = growth_now;
    now = next;
  }
  REQUIRE(std::abs(now - before) <= 1e-6 * now);
  return now;
}

} // namespace tiltfin::validation
