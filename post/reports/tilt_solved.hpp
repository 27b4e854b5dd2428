#pragma once
// The machine turned through all angles: what was solved, and its power limits.

#include "post/numbers/outcome.hpp"
#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// One angle of one panel state and power, reached with the angle rising and with it falling.
struct TiltPoint {
  std::string panel;
  double tilt_deg = 0.0;
  double power_w = 0.0;
  bool is_added = false; ///< between the angles asked for
  Outcome rising;
  Outcome falling;
  bool are_two = false; ///< both are solved, and different flows

  /// The flow that stands where there is one: with rising angle, if that was solved.
  [[nodiscard]] const Outcome& first() const;
};

/// Whether a flow was reached both ways.
enum class SweepWay { both, rising, falling };

/// "both", "rising", "falling".
[[nodiscard]] const char* name(SweepWay way);

/// The power limits at an angle of a panel state.
struct TiltLimit {
  std::string panel;
  double tilt_deg = 0.0;
  SolvedLimit rising;
  SolvedLimit falling; ///< the same where there is one flow at every power

  /// Of the worse flow.
  [[nodiscard]] const SolvedLimit& lower() const;
};

struct TiltReport {
  ReportContext context;
  bool is_closed = false;        ///< the last angle's next one is the first
  std::vector<TiltPoint> points; ///< by panel state, power and angle
  std::vector<TiltLimit> limits; ///< by panel state and angle; see add_limits
  /// Sweeps that --only leaves out and that are not whole on disk: "panel off, 10 W".
  std::vector<std::string> left_out{};
};

/// How far apart angles stay round the best, the worst and a jump [degrees].
inline constexpr double fine_step_deg = 5.0;

/// "flat-up" where an angle is that of an orientation with a name, else "".
[[nodiscard]] std::string name_of_tilt(double tilt_deg);

/// Fills `limits` from `points`.
void add_limits(TiltReport& report);

/// Whether a flow that stands, or a limit, lies outside the model.
[[nodiscard]] bool has_outside(const TiltReport& report);

/// The limit at an angle; null: not known.
[[nodiscard]] const TiltLimit* limit_at(const TiltReport& report, const std::string& panel,
                                        double tilt_deg);

/// Names of its panel states, in their order.
[[nodiscard]] std::vector<std::string> panels_of(const TiltReport& report);

} // namespace tiltfin
