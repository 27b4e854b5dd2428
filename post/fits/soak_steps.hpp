#pragma once
// Several soaks in one log: where the power steps, or where the temperature sets off anew.

#include "post/fits/minute_means.hpp"

#include <span>
#include <vector>

namespace tiltfin {

/// A stretch of a log at one power.
struct PowerStep {
  double from_s = 0.0; ///< start of its first mean
  double to_s = 0.0;   ///< end of its last mean
  double power_w = 0.0;
};

/// Rule. Means follow one another in a step while they stay within 10 % of its mean power, or 2 %
/// of the largest power of the log (a meter's noise); what lasts under 10 means is a change between
/// two steps, and two steps of the same power round it are one. Steps below 2 % of the largest
/// power are idle and left out. Empty where no stretch holds its power for 10 means.
[[nodiscard]] std::vector<PowerStep> steps_of_power(std::span<const SoakMean> means);

/// Times [s] at which a rise sets off anew after it had come to rest, as it does where one log
/// holds several soaks. Rule, on means of 5 means: it has come to rest when two changes in a row
/// are below a quarter of the steepest since it last set off; it sets off when two changes in a row
/// then have one sign, are each above a tenth of that steepest one and three times the calmest pair
/// of the rest, and make up 10 % of the log's whole range and 1 K together. Within 10 % of the
/// log's first value the machine is idle before the soak. A single approach, whose changes only
/// ever fall, has none.
[[nodiscard]] std::vector<double> new_starts(std::span<const SoakMean> means);

} // namespace tiltfin
