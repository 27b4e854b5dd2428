#pragma once
// A soak on the bench: from means per minute to one settled rise with its interval.

#include "post/fits/minute_means.hpp"

#include <span>
#include <string>

namespace tiltfin {

enum class SoakStatus {
  settled,      ///< the mean of a settled part
  extrapolated, ///< not settled; the end of a fitted exponential approach
  unsettled     ///< not settled and no usable approach: no rise
};
[[nodiscard]] const char* name(SoakStatus status);

struct SoakRule {
  double missing_share = 0.0025; ///< of the rise, that the approach may still lack when it counts
  double drift_share = 0.005;    ///< of the rise, over the settled part
  double drift_k = 0.1;          ///< or this, whichever is larger
};

struct Soak {
  SoakStatus status = SoakStatus::unsettled;
  double rise_k = 0.0;       ///< NaN when unsettled
  double rise_error_k = 0.0; ///< standard error
  double rise_half_k = 0.0;  ///< half-width of the 95 % interval (Student)
  double power_w = 0.0;      ///< mean over the part used
  double ambient_c = 0.0;
  double minutes = 0.0;           ///< length of the soak
  double used_from_min = 0.0;     ///< start of the part used
  int n_means = 0;                ///< in the part used
  double correlation = 0.0;       ///< of neighbouring means there
  double drift_k = 0.0;           ///< over the last part examined
  double time_constant_min = 0.0; ///< of the fitted approach; NaN when settled
  std::string warning;            ///< empty when settled
};

/// Rule. rise = end - rest * exp(-t / tau) is fitted to the last two thirds of the soak, or, where
/// that is not usable, to all but its first tenth; it is usable when tau is no longer than the part
/// fitted and the 95 % interval of its end no wider than +-25 %. The settled part starts where the
/// approach lacks no more than `missing_share` of its end, or, without a usable approach, where the
/// sum of squares about the mean divided by the square of the number of means left is smallest
/// (marginal standard error rule: White, Simulation 69 (1997) 323-334, from memory; with at least a
/// quarter of the soak left). With at least 10 means it counts as settled when the drift over it,
/// from a straight line, is below the larger of the rule's two bounds or cannot be told from noise
/// (two standard errors). Otherwise a usable approach gives the rise, else there is none.
///
/// Standard error. Means follow each other too closely to be independent. Their scatter about the
/// approach (about their own mean where no approach is usable) is taken in about 16 batches (batch
/// means: Law and Kelton, Simulation Modeling and Analysis), and the number of batches reduced by
/// (1 - r) / (1 + r), the integrated autocorrelation time of a first-order autoregression (von
/// Storch and Zwiers, Statistical Analysis in Climate Research, 1999, section 6.6.8), with r
/// corrected for its bias in short series (Kendall, Biometrika 41 (1954) 403-404), all from memory.
/// Student's t for the degrees of freedom of an autoregression's variance, (n - parameters)
/// (1 - r^2) / (1 + r^2); what the approach still lacks on average is added to the half-width. In
/// simulated soaks intervals of nominally 95 % cover the truth in 90 to 91 of 100 cases.
[[nodiscard]] Soak reduce_soak(std::span<const SoakMean> means, const SoakRule& rule = {});

/// Correlation of neighbouring residuals of a fit, corrected for bias, within 0 to 0.97. Fewer
/// than 5 values give 0.
[[nodiscard]] double neighbour_correlation(std::span<const double> residuals);

} // namespace tiltfin
