#pragma once
// The way from a state of level 1 to a flow of the finest mesh that air does not leave, with its
// partner for the error estimate.

#include "solver/nest.hpp"

namespace tiltfin {

/// From level 1 to the end; `warm`: the neighbour that the condition started from, or null.
void finish(Nest& nest, const Solution* warm);

/// From a steady flow of the finest mesh to the end.
void settle(Nest& nest);

/// From a mean over time of the finest mesh, in true time, to its mean there; to the end where it
/// is steady after all.
void follow(Nest& nest);

} // namespace tiltfin
