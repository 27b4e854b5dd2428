#pragma once
// What a search for the best gap of a cooler came to, as tables and charts.

#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// The fins of one solved layout. Lengths as in the case file; plates have no height (0).
struct FinLayout {
  std::string name; ///< of its directory
  int count = 0;
  double gap_mm = 0.0;
  double thickness_mm = 0.0;
  double height_mm = 0.0;
};

/// What became of a condition when its stability was examined, and an unstable flow left.
struct ExaminedPoint {
  double rise_k = 0.0; ///< NaN: not converged
  double error_k = 0.0;
  std::string status; ///< empty: not examined
  std::string stability;
};

/// One condition of one layout.
struct SpacingPoint {
  FinLayout layout;
  std::string panel;
  std::string orientation;
  double rise_k = 0.0; ///< mean base rise that layouts are ranked by; NaN: not converged
  double error_k = 0.0;
  std::string status;
  std::string stability; ///< as in Outcome
  ExaminedPoint examined;
};

/// The best layout of an orientation, or of the weighted orientations of a panel state together.
struct SpacingBest {
  FinLayout layout;
  std::string panel;
  std::string orientation; ///< empty: all that are weighted
  double rise_k = 0.0;     ///< of the base, for all weighted ones their weighted mean
  double error_k = 0.0;
  double drawn_rise_k = 0.0; ///< of the layout that the case draws; NaN: not solved
  double drawn_error_k = 0.0;
  double low_gap_mm = 0.0; ///< solved ones of this shape whose error bars overlap; unknown: 0
  double high_gap_mm = 0.0;
  std::string edge;             ///< what ends the search here: a limit; empty: nothing
  double closed_form_mm = 0.0;  ///< NaN where it does not apply ...
  std::string no_closed_form;   ///< ... for this reason
  std::vector<TrendRow> limits; ///< power limits of this layout, one per orientation
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

[[nodiscard]] std::string spacing_table(const SpacingReport& report);
[[nodiscard]] std::string spacing_csv(const SpacingReport& report);
[[nodiscard]] std::string spacing_json(const SpacingReport& report);

/// Rise against gap for one thickness and height, a curve per panel state and orientation; dashed
/// lines where the closed form has its optimum.
[[nodiscard]] std::string spacing_chart(const SpacingReport& report, double thickness_mm,
                                        double height_mm);

} // namespace tiltfin
