#pragma once
// The base rise that the sections of a fan have in common.

#include "solver/condition.hpp"

#include <span>

namespace tiltfin {

/// From sections whose rises [K] are nearly equal: power over the sum of their conductances, which
/// is exact to the square of how far they are apart where all rises grow with the same exponent of
/// power. Without power, or without a rise above 0, the mean by weight.
[[nodiscard]] double common_rise(std::span<const FanPart> parts, std::span<const double> rises);

/// How far apart they are: largest less smallest over the common one [-]; 0 where that is not above
/// 0.
[[nodiscard]] double rises_apart(std::span<const FanPart> parts, std::span<const double> rises);

} // namespace tiltfin
