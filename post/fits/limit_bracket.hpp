#pragma once
// From solved powers to a power limit: which power to solve next so that two lie close on either
// side of it, what it comes to between them, and how far it may be off.

#include "post/fits/core_limit.hpp"
#include "post/fits/estimate.hpp"
#include "post/fits/trend.hpp"

#include <optional>
#include <span>

namespace tiltfin {

/// A bracket is narrow enough when its higher power is no more than this times its lower one.
inline constexpr double bracket_ratio = 1.25;

/// No more powers than this are added for one limit.
inline constexpr int most_added_powers = 8;

/// What flow a solved power belongs to: rises of different kinds lie on different curves.
enum class FlowKind { steady, left_open, mean };

/// A solved power of one panel state and orientation.
struct LimitPoint {
  double power_w = 0.0;
  Estimate rise_k;     ///< mean of the base above the room; error: of the mesh
  double flow_k = 0.0; ///< by how much its flow leaves the rise open: fluctuation, a second flow
  FlowKind kind = FlowKind::steady;
  bool is_added = false; ///< near the limit, to the powers that were listed
};

/// The power to add next; nothing when the limit is bracketed within `bracket_ratio`, or cannot be:
/// `failed` powers (without a result) stand in the way, `most_added_powers` are there, or there is
/// no rise to go by. It is one of the preferred numbers of the series R20 (ISO 3: twenty per
/// decade, steps of 12 %; from memory), nearest to where the power law through the two nearest
/// points meets the limit, within the bracket if there is one, else at most four times beyond the
/// last point.
[[nodiscard]] std::optional<double> power_to_add(std::span<const LimitPoint> points,
                                                 std::span<const double> failed,
                                                 const CoreLimit& core);

enum class LimitBasis {
  none,         ///< no trend: no limit
  extrapolated, ///< outside the solved powers
  interpolated, ///< between two that are further apart than `bracket_ratio`
  bracketed     ///< between two that are not
};
/// "", "extrapolated", "interpolated", "bracketed".
[[nodiscard]] const char* name(LimitBasis basis);

/// A limit and the parts of its error bar, all in W; NaN: not known.
struct BracketedLimit {
  double power_w = nan;
  LimitBasis basis = LimitBasis::none;
  double low_w = nan; ///< the solved powers next to it, one on either side
  double high_w = nan;
  double mesh_w = nan; ///< estimated error of the mesh (of a mean: its sampling, too)
  double fit_w = nan;  ///< of interpolating: what the curvature through a third point changes
  double flow_w = nan; ///< fluctuation, second flows, and two ends that are of different kinds

  /// The known parts added up: each is a bound rather than a standard deviation, and nothing says
  /// that they go different ways. NaN where the mesh's is not known.
  [[nodiscard]] double error_w() const;
};

/// Interpolates in logarithms between the two points around the limit, else extrapolates: with
/// `trend`, the fit of the listed powers, or, where powers were added, with the power law through
/// the two points nearest to the limit. Parts of the error: the mesh's relative error of the rise,
/// interpolated too; for the fit, between the points |f[a,b,c] (x - a)(x - b)|, the next term of
/// Newton's interpolation in logarithms, with the nearest third point c, outside them the distance
/// between the trend's and the nearest two points' limits; for the flow the larger of the ends'
/// `flow_k`, and, where their kinds differ, half of the distance between the limits that the
/// trend's exponent leads to from either end. The local slope turns K into W.
[[nodiscard]] BracketedLimit bracketed_limit(const Trend& trend, std::span<const LimitPoint> points,
                                             const CoreLimit& core);

} // namespace tiltfin
