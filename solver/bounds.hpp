#pragma once
// Bounds of the air's temperature: nothing cools it below the coldest of what it could have
// touched. Central values of convection on cells too coarse for the flow do.

#include "solver/unknowns.hpp"

namespace tiltfin {

/// Lowest temperature of what surrounds the section: walls, outsides of films, air that may come
/// in [K]; infinite where there is nothing of these.
[[nodiscard]] double coldest_outside(const std::array<Side, 4>& sides);
[[nodiscard]] inline double coldest_outside(const Problem& problem) {
  return coldest_outside(problem.sides);
}

/// How much colder than that the coldest cell is [K]; 0 when none is.
[[nodiscard]] double undershoot(const Problem& problem, const State& state);

/// The undershoot that is not worth telling where temperatures range over `range` [K]: what a
/// logger resolves, 0.1 K, or a hundredth of the range.
[[nodiscard]] double allowed_undershoot(double range);

/// True when the undershoot is more than allowed for the range of temperatures.
[[nodiscard]] bool is_too_cold(const Problem& problem, const State& state);

} // namespace tiltfin
