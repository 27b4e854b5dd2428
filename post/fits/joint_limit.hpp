#pragma once
// The power limit of a cooler that gives heat to the air through two sets of edges, each known from
// a section of its own.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"

#include <span>

namespace tiltfin {

/// What a section gives off with its base so far above the room.
struct JointPoint {
  double rise_k = 0.0;
  double air_w = 0.0;   ///< of fins and base to the air
  double other_w = 0.0; ///< all else: radiation, board, chip
};

/// How the air of both planes adds up at one base rise: (first^p + second^p)^(1/p). 1: as if either
/// did not know of the other (most there can be of two that share their air); infinity: the
/// larger alone.
struct JointRule {
  double exponent = 1.0;
};

/// Relative errors of the two sections' heats.
struct JointErrors {
  double first = nan;
  double second = nan;
};

struct JointLimit {
  Estimate power_w{.value = nan};
  double rise_k = nan;          ///< of the base there
  double second_share = nan;    ///< of the heat to the air, the second plane's part [-]
  bool is_extrapolated = false; ///< the rise lies over a tenth outside the solved ones of a section
};

/// Where the core (base rise + core_to_base * power) meets the limit, with `other_w` of the first
/// section alone. Heats are interpolated in logarithms, beyond the points with the nearest two;
/// points without a rise or heat above 0 do not take part. NaN where a section has none.
[[nodiscard]] JointLimit joint_limit(std::span<const JointPoint> first,
                                     std::span<const JointPoint> second, const JointRule& rule,
                                     const JointErrors& errors, const CoreLimit& core);

} // namespace tiltfin
