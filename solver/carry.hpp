#pragma once
// States carried over: from one power to another, from one mesh to another as a difference.

#include "solver/unknowns.hpp"

namespace tiltfin {

/// A neighbour's state as a guess at another power: rises grow with power^0.8 and flows with
/// power^0.4, the laminar boundary-layer scaling. `from` and `to` share section and mesh.
[[nodiscard]] State scaled(const Problem& from, State state, const Problem& to);

/// state += a - b, all three on one mesh.
void add_difference(State& state, const State& a, const State& b);

} // namespace tiltfin
