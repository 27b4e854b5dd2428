#pragma once
// What a search for the best gap of a cooler came to, as tables and charts.

#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// The fins of one solved layout. Lengths as in the case file.
struct FinLayout {
  std::string name; ///< of its directory
  int count = 0;
  double gap_mm = 0.0;
  double thickness_mm = 0.0;
  std::optional<double> height_mm; ///< plates have none

  [[nodiscard]] bool is_shaped_like(const FinLayout& other) const {
    return thickness_mm == other.thickness_mm && height_mm == other.height_mm;
  }
};

/// What a condition was solved to.
struct SolvedRise {
  Estimate rise_k; ///< mean base rise; NaN: not converged
  SolveStatus status = SolveStatus::not_converged;
  Stability stability = Stability::not_examined;
  Standing standing = Standing::sound;
};

/// One condition of one layout.
struct SpacingPoint {
  FinLayout layout;
  std::string panel;
  std::string orientation;
  SolvedRise ranked; ///< what layouts are ranked by
  /// What became of it when its stability was examined, and an unstable flow left.
  std::optional<SolvedRise> examined;
};

/// The best layout of an orientation, or of the weighted orientations of a panel state together.
struct SpacingBest {
  FinLayout layout;
  std::string panel;
  std::string orientation; ///< empty: all that are weighted
  Estimate rise_k;         ///< of the base, for all weighted ones their weighted mean
  Estimate drawn_rise_k;   ///< of the layout that the case draws; NaN: not solved
  double low_gap_mm = 0.0; ///< solved ones of this shape whose error bars overlap
  double high_gap_mm = 0.0;
  std::string edge;             ///< what ends the search here: a limit; empty: nothing
  double closed_form_mm = 0.0;  ///< NaN where it does not apply ...
  std::string no_closed_form;   ///< ... for this reason
  std::vector<TrendRow> limits; ///< power limits of this layout, one per orientation

  /// "weighted" for all that are.
  [[nodiscard]] std::string orientation_or_weighted() const {
    return orientation.empty() ? "weighted" : orientation;
  }
};

struct SpacingReport {
  ReportContext context;
  double power_w = 0.0;
  bool is_plates = false;
  bool skips_stability = false; ///< nothing was examined
  std::string size_text;        ///< "80 mm out of the plane"
  std::string limits_text;      ///< of the gap and the thickness, and where they come from
  std::string weights_text;
  FinLayout drawn;
  std::vector<SpacingPoint> points; ///< by panel, orientation, thickness, height, gap
  std::vector<SpacingBest> best;    ///< by panel and orientation, the compromise of a panel last
  std::vector<std::string> notes;
};

/// Whether a best layout, or one of its limits, lies outside the model. Layouts that are searched
/// and are not the best may: their fins stand too close to be cooled.
[[nodiscard]] bool has_best_outside(const SpacingReport& report);

[[nodiscard]] std::string spacing_table(const SpacingReport& report);
[[nodiscard]] std::string spacing_csv(const SpacingReport& report);
[[nodiscard]] std::string spacing_json(const SpacingReport& report);

/// Rise against gap for the thickness and height of a layout, a curve per panel state and
/// orientation; dashed lines where the closed form has its optimum.
[[nodiscard]] std::string spacing_chart(const SpacingReport& report, const FinLayout& shape);

} // namespace tiltfin
