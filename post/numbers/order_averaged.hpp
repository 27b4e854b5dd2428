#pragma once
// What each of several changes is worth, when they were all made together.

#include <vector>

namespace tiltfin {

/// `values` of every subset of n changes made, in the order of the bits of its number (bit k:
/// change k is made), 2^n of them. Returns per change what it adds, averaged over all orders in
/// which the changes can be made: the parts add up to the last value less the first, a change that
/// never makes a difference has the part 0, and two that always make the same one have equal parts.
/// Source: Shapley 1953, A value for n-person games, Annals of Mathematics Studies 28, 307-317.
[[nodiscard]] std::vector<double> order_averaged(const std::vector<double>& values);

} // namespace tiltfin
