#pragma once
// Tables and chart of a comparison with the bench.

#include "post/fits/calibration.hpp"
#include "post/fits/comparison.hpp"
#include "post/fits/soak.hpp"
#include "post/fits/warm_up.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// A soak beside what the computed cooler says of its length: the heat capacity of its metal times
/// its computed resistance at the soak's power. Times are NaN where either is not known.
struct SoakLength {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
  SoakStatus status = SoakStatus::unsettled;
  double minutes = 0.0;               ///< it lasted
  double computed_rise_k = nan;       ///< settled, of what was measured
  double time_constant_s = nan;       ///< computed
  double measured_constant_min = nan; ///< fitted; NaN when it settled
  std::vector<SoakMean> log;          ///< some means of it

  [[nodiscard]] double settling_time_s() const { return settling_time(time_constant_s); }
};

struct ComparisonReport {
  std::string title;
  bool is_at_base = false;
  Comparison plain;                   ///< with the case's own values
  std::vector<std::string> used;      ///< orientations that the calibration may use; empty: all
  bool is_calibrated = false;         ///< a calibration was asked for
  Calibration calibration;            ///< when it was
  Comparison calibrated;              ///< with its values, when it was not refused
  std::vector<SoakLength> soaks{};    ///< every soak with a solved counterpart
  std::vector<std::string> outside{}; ///< computed conditions that lie outside the model
  std::vector<std::string> doubts{};  ///< whether the logs are of the machine that was solved

  [[nodiscard]] bool has_calibrated() const { return is_calibrated && calibration.refusal.empty(); }
  /// True for points whose orientation the calibration did not see.
  [[nodiscard]] bool is_predicted(const MeasuredPoint& point) const;
};

[[nodiscard]] std::string comparison_table(const ComparisonReport& report);
[[nodiscard]] std::string comparison_csv(const ComparisonReport& report);
[[nodiscard]] std::string comparison_json(const ComparisonReport& report);

/// A row per soak: how long it was and how long it should be.
[[nodiscard]] std::string soak_length_csv(const ComparisonReport& report);

/// Every log, rise against time, with the computed warm-up over it, from the log's first mean on.
[[nodiscard]] std::string warm_up_chart(const ComparisonReport& report);

/// Rise against power: measured as discs, computed as squares joined by a dashed line, each with
/// its error bars, one colour per panel state and orientation.
[[nodiscard]] std::string comparison_chart(const ComparisonReport& report);

} // namespace tiltfin
