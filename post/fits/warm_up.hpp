#pragma once
// How a cooler warms up as one body: rise = end - (end - start) exp(-t / time constant); and how
// long a soak should be.

#include "post/fits/minute_means.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct WarmUp {
  double start_k = 0.0; ///< rise when the power was set
  double end_k = 0.0;   ///< settled
  double time_constant_s = 0.0;

  [[nodiscard]] double rise_k(double time_s) const;
};

/// Until this share of a change is left [s]; 1 % takes 4.6 time constants.
[[nodiscard]] double settling_time(double time_constant_s, double left = 0.01);

/// What to say of a soak that did not settle: "30 min are 1.2 time constants of this cooler; a soak
/// of 116 min settles to 1 %"; where it was that long, that it drifts for another reason.
/// `is_at_least`: the time constant may be longer.
[[nodiscard]] std::string soak_length_text(double minutes, double time_constant_s,
                                           bool is_at_least = false);

/// About `n` of the means, evenly, for a drawing.
[[nodiscard]] std::vector<SoakMean> thinned(std::span<const SoakMean> means, int n);

} // namespace tiltfin
