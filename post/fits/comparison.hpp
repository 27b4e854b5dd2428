#pragma once
// Computed against measured rises, and the calibration of at most two physical unknowns.

#include <limits>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// A solved condition as it stands in summary.json.
struct ComputedPoint {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
  std::string status;
  double base_rise_k = 0.0;
  double error_k = 0.0; ///< estimated error of the mesh; NaN: none
};

struct Computed {
  std::string title;
  double room_temperature_c = 25.0;
  double limit_temperature_c = 100.0;
  double die_to_base_k_per_w = 0.0;
  std::vector<ComputedPoint> points; ///< those that were solved: converged or time averages
};

/// Reads the text of a summary.json. Throws std::runtime_error for another text.
[[nodiscard]] Computed read_summary(const std::string& text);

struct MeasuredPoint {
  std::string panel;
  std::string orientation;
  double power_w = 0.0;
  double rise_k = 0.0;  ///< of the core or of the base
  double error_k = 0.0; ///< half-width of its 95 % interval
};

/// What the case file cannot know well.
struct Physical {
  double die_to_base_k_per_w = 0.0;
  double heat_share = 1.0;  ///< of the electrical power, that goes through the cooler
  double depth_ratio = 1.0; ///< effective depth of the section over the one of the case
};

/// Rise of the base at a power, from the solved powers of one panel state and orientation: a power
/// law through neighbouring powers, its end pieces going on outside; through a single power a line
/// through zero. `is_outside`: more than 2 % beyond the solved powers. NaN without a point.
struct BaseRise {
  double rise_k = std::numeric_limits<double>::quiet_NaN();
  double error_k = 0.0;
  bool is_outside = false;
};
[[nodiscard]] BaseRise base_rise_at(const Computed& computed, const std::string& panel,
                                    const std::string& orientation, double power_w);

/// Rise where it was measured: the base's at heat_share * power / depth_ratio (the section knows
/// power per depth only), plus die_to_base * heat_share * power when the core was measured.
[[nodiscard]] BaseRise predict(const Computed& computed, const MeasuredPoint& point,
                               const Physical& physical, bool is_at_base);

struct ComparedPoint {
  MeasuredPoint measured;
  BaseRise computed;
  double deviation = 0.0; ///< computed / measured - 1
};

/// Two orientations of one panel state at the same power, by ascending measured rise.
struct OrderCheck {
  std::string panel;
  std::string cooler; ///< orientation with the smaller measured rise
  std::string hotter;
  double power_w = 0.0;
  double measured_ratio = 0.0; ///< rise of hotter / cooler
  double computed_ratio = 0.0;
  bool is_clear = false; ///< the measured difference exceeds both intervals together
  [[nodiscard]] bool is_agreed() const { return computed_ratio > 1.0; }
};

struct Comparison {
  std::vector<ComparedPoint> points;   ///< those with a computed counterpart
  std::vector<MeasuredPoint> unsolved; ///< those without
  double bias = 0.0;                   ///< mean of ln(computed / measured)
  double spread = 0.0;                 ///< standard deviation of it; NaN for fewer than two points
  std::vector<OrderCheck> orders;
};

/// Point by point. Orders are compared at the geometric mean of the powers measured in both
/// orientations, on power laws fitted to the measured points (two powers or more in each).
[[nodiscard]] Comparison compare(const Computed& computed, std::span<const MeasuredPoint> measured,
                                 const Physical& physical, bool is_at_base);

/// Unknowns that a calibration may estimate.
enum class Unknown { die_to_base, heat_share, depth };
[[nodiscard]] const char* name(Unknown unknown);

struct Estimate {
  Unknown unknown = Unknown::die_to_base;
  double value = 0.0;
  double low = 0.0; ///< 95 % interval (Student)
  double high = 0.0;
};

/// One orientation predicted from the others.
struct LeftOut {
  std::string panel;
  std::string orientation;
  int n_points = 0;
  double before = 0.0; ///< root mean square of ln(computed / measured) with the case's values
  double after = 0.0;  ///< with values estimated without this orientation; NaN: `refusal`
  std::string refusal;
};

struct Calibration {
  std::string refusal; ///< not empty: the data do not carry the unknowns, and why
  std::vector<Estimate> estimates;
  Physical physical;       ///< with the estimates in it
  int n_used = 0;          ///< points used for the fit
  double scatter = 0.0;    ///< of ln(computed / measured) about the fit
  double independence = 0; ///< see LeastSquares; 1 for a single unknown
  std::vector<LeftOut> left_out;
};

/// Least squares of ln(predicted / measured) over the points of the orientations in `use` (empty:
/// all), starting from the case's values: the misfit of a model is about proportional to the rise,
/// so points weigh alike. Refused are more than two unknowns, fewer points than unknowns + 1 or
/// fewer than two different powers per two unknowns, die_to_base when the base was measured, values
/// without physical sense (negative, a heat share above 1.2), unknowns that act alike (independence
/// below 0.05), and intervals wider than +-100 %. Nothing else is ever adjusted.
[[nodiscard]] Calibration calibrate(const Computed& computed,
                                    std::span<const MeasuredPoint> measured,
                                    std::span<const Unknown> unknowns,
                                    std::span<const std::string> use, bool is_at_base);

} // namespace tiltfin
