#pragma once
// The temperature difference, air and Rayleigh numbers that a case is judged by before it is
// solved.

#include "cases/file/case.hpp"

namespace tiltfin {

/// The temperature difference that governing numbers use, and where it comes from.
struct Rise {
  double kelvin = 0.0;
  double coldest = 0.0;    ///< [K]
  bool is_assumed = false; ///< no two sides differ: a typical rise above the room
};

[[nodiscard]] Rise governing_rise(const Case& the_case, const Section& section);

/// The case's constants, else air at the middle of the rise. Throws AirRangeError where the
/// tables end.
[[nodiscard]] AirProperties governing_air(const Case& the_case, const Rise& rise);

/// Of a temperature difference [K] over a length [m].
[[nodiscard]] double rayleigh(const Case& the_case, const AirProperties& air, double rise,
                              double length);

} // namespace tiltfin
