#pragma once
// What is known of the stability of a reported flow.

#include "post/fits/estimate.hpp"
#include "solver/steady.hpp"

namespace tiltfin {

enum class Stability {
  not_examined, ///< and nothing was asked otherwise: no steady state, or no mode was found
  skipped,      ///< a steady state that the caller did not want examined
  awaited,      ///< a steady state that is still to be examined
  stable,
  sways, ///< disturbances grow, but to nothing that a bench would see
  unstable
};

/// Something is known of it.
[[nodiscard]] constexpr bool is_examined(Stability stability) {
  return stability >= Stability::stable;
}

/// A steady state of which nobody knows whether air leaves it.
[[nodiscard]] constexpr bool is_passed_over(Stability stability) {
  return stability == Stability::skipped || stability == Stability::awaited;
}

/// "not examined", "skipped", "not yet examined", "stable", "sways", "unstable".
[[nodiscard]] const char* name(Stability stability);

/// Of the steady state, for a time average of the one that was left.
struct StabilityVerdict {
  Stability state = Stability::not_examined;
  /// Of the least stable disturbance; negative: it decays. NaN: not examined.
  double growth_per_s = nan;
  double period_s = nan; ///< NaN: it does not swing
  /// Frequency up to which no disturbance that grows was missed; NaN: not examined.
  double searched_rad_per_s = nan;
};

[[nodiscard]] StabilityVerdict stability_of(const SolveReport& report);

} // namespace tiltfin
