#pragma once
// What a sweep of angles shows: the best and the worst, jumps, angles at which two flows coexist.

#include "post/reports/tilt_solved.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// Points of one panel state and power, angles ascending. Points into its report.
using TiltCurve = std::vector<const TiltPoint*>;

[[nodiscard]] std::vector<TiltCurve> curves_of(const TiltReport& report);

/// Neighbours among the angles asked for between which the rise changes by more than the error
/// bars, 3 % and three times what it does in the median.
struct TiltJump {
  const TiltPoint* from = nullptr;
  const TiltPoint* to =
      nullptr; ///< the next angle; of a whole turn also from the last to the first
  SweepWay way = SweepWay::both; ///< along which flow: both where there is but one on either side

  const TiltPoint* steep_from = nullptr; ///< of the angles between, those with the largest change
  const TiltPoint* steep_to = nullptr;

  [[nodiscard]] const Outcome& before() const;
  [[nodiscard]] const Outcome& after() const;
  [[nodiscard]] double steep_width_deg() const;
  /// Whether it is known more closely than from one angle asked for to the next.
  [[nodiscard]] bool is_narrowed() const { return steep_from != from || steep_to != to; }
};

/// The largest first, at most four.
[[nodiscard]] std::vector<TiltJump> jumps_of(const TiltCurve& curve, bool is_closed);

/// Two different flows whose rises differ by more than their error bars.
[[nodiscard]] bool has_two_flows(const TiltPoint& point);

/// Neighbouring angles at which two flows coexist. A range over the end of a turn ends in a smaller
/// angle than it begins with.
struct TwoFlows {
  const TiltPoint* from = nullptr;
  const TiltPoint* to = nullptr;
  const TiltPoint* widest = nullptr; ///< where their rises differ most
};
[[nodiscard]] std::vector<TwoFlows> two_flows_of(const TiltCurve& curve, bool is_closed);

/// By the limit of the worse flow; null: the panel state has no limit.
struct BestAndWorst {
  const TiltLimit* best = nullptr;
  const TiltLimit* worst = nullptr;
};
[[nodiscard]] BestAndWorst best_and_worst(const TiltReport& report, const std::string& panel);

/// Angles of a panel state to be solved next, so that the best, the worst and every jump are known
/// to `fine_step_deg`; none when they are.
[[nodiscard]] std::vector<double> wanted_angles(const TiltReport& report, const std::string& panel);

/// What changes from one flow to another, in one sentence: through-flow, air that feeds the fins
/// and its share of the change, what the cooler breathes in again, radiation, whose heat changes
/// most.
[[nodiscard]] std::string explanation(const Outcome& before, const Outcome& after);

} // namespace tiltfin
