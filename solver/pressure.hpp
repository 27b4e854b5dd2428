#pragma once
// Pressure of a solved state. It is no unknown; where the momentum residual is free of circulation
// it is the gradient of this field.

#include "solver/unknowns.hpp"

#include <vector>

namespace tiltfin {

/// Pressure reduced by the hydrostatic part, per cell [Pa]; NaN in solids. Zero outside open sides;
/// an air region without an open side has its mean at zero.
[[nodiscard]] std::vector<double> pressure(const Problem& problem, const State& state);

} // namespace tiltfin
