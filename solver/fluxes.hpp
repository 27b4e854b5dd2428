#pragma once
// What a state carries through the faces of its grid: the equations (solver/equations.hpp) with
// plain numbers.

#include "solver/unknowns.hpp"

#include <vector>

namespace tiltfin {

/// Heat flux through a face, conduction and convection (of the excess over the air's reference
/// temperature), positive along +x or +y [W/m]. Where a face radiates it is what would be conducted
/// without; radiation draws its heat from the cells on both sides in the ratio of their
/// conductances.
[[nodiscard]] double heat_through_x_face(const Problem& problem, const State& state, int i, int j);
[[nodiscard]] double heat_through_y_face(const Problem& problem, const State& state, int i, int j);

/// The part of it that flows through the metal of fins: into or out of a fin medium [W/m].
[[nodiscard]] double fin_heat_through_x_face(const Problem& problem, const State& state, int i,
                                             int j);
[[nodiscard]] double fin_heat_through_y_face(const Problem& problem, const State& state, int i,
                                             int j);

/// Net radiation that leaves each radiating face of the problem, in their order [W/m].
[[nodiscard]] std::vector<double> radiant_heat(const Problem& problem, const State& state);

/// Line integral of the momentum residual along a face's path without its time term [Pa].
[[nodiscard]] double momentum_of_x_face(const Problem& problem, const Unknowns& unknowns,
                                        const State& state, int i, int j);
[[nodiscard]] double momentum_of_y_face(const Problem& problem, const Unknowns& unknowns,
                                        const State& state, int i, int j);

} // namespace tiltfin
