#pragma once
// What is known of the stability of a reported flow.

#include "solver/steady.hpp"

#include <limits>

namespace tiltfin {

enum class Stability {
  not_examined, ///< and nothing was asked otherwise: no steady state, or no mode was found
  skipped,      ///< a steady state that the caller did not want examined
  stable,
  unstable
};

/// "not examined", "skipped", "stable", "unstable".
[[nodiscard]] const char* name(Stability stability);

/// Of the steady state, for a time average of the one that was left.
struct StabilityVerdict {
  Stability state = Stability::not_examined;
  /// Of the least stable disturbance; negative: it decays. NaN: not examined.
  double growth_per_s = std::numeric_limits<double>::quiet_NaN();
  double period_s = std::numeric_limits<double>::quiet_NaN(); ///< NaN: it does not swing
};

[[nodiscard]] StabilityVerdict stability_of(const SolveReport& report);

} // namespace tiltfin
