#pragma once
// Tables and chart of a comparison with the bench.

#include "post/fits/calibration.hpp"
#include "post/fits/comparison.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct ComparisonReport {
  std::string title;
  bool is_at_base = false;
  Comparison plain;              ///< with the case's own values
  std::vector<std::string> used; ///< orientations that the calibration may use; empty: all
  bool is_calibrated = false;    ///< a calibration was asked for
  Calibration calibration;       ///< when it was
  Comparison calibrated;         ///< with its values, when it was not refused

  [[nodiscard]] bool has_calibrated() const { return is_calibrated && calibration.refusal.empty(); }
  /// True for points whose orientation the calibration did not see.
  [[nodiscard]] bool is_predicted(const MeasuredPoint& point) const;
};

[[nodiscard]] std::string comparison_table(const ComparisonReport& report);
[[nodiscard]] std::string comparison_csv(const ComparisonReport& report);
[[nodiscard]] std::string comparison_json(const ComparisonReport& report);

/// Rise against power: measured as discs, computed as squares joined by a dashed line, each with
/// its error bars, one colour per panel state and orientation.
[[nodiscard]] std::string comparison_chart(const ComparisonReport& report);

} // namespace tiltfin
