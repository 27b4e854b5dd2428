#pragma once
// Starts that look for another flow than that which a start from rest reaches, and whether two
// states are two flows.

#include "solver/unknowns.hpp"

namespace tiltfin {

/// The air's flow and temperature mirrored at the middle of the section, across the line that is
/// nearer to gravity's direction: what leans to the left leans to the right. Solids stay where they
/// are and keep their temperatures, so of a section that is not symmetric this is a start, no
/// solution.
[[nodiscard]] State mirrored(const Problem& problem, const State& state);

/// Cold air stirred into `turns_x` by `turns_y` equal turns, neighbours against each other, with
/// the given strength in units of the flow of `known`; a negative one stirs the other way round.
[[nodiscard]] State stirred(const Problem& problem, const State& known, int turns_x, int turns_y,
                            double strength);

/// Largest difference of psi or temperature relative to the ranges of `a`; 0.02 tells two steady
/// flows from one solved twice.
[[nodiscard]] double relative_difference(const Problem& problem, const State& a, const State& b);

inline constexpr double same_flow = 0.02;

/// And below which they are one flow on two meshes.
inline constexpr double alike = 0.3;

} // namespace tiltfin
