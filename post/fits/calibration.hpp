#pragma once
// The calibration of at most two physical unknowns on measured rises.

#include "post/fits/comparison.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// Unknowns that a calibration may estimate.
enum class Unknown { core_to_base, heat_share, depth };
/// "die-to-base", "heat-share", "depth".
[[nodiscard]] const char* name(Unknown unknown);

struct CalibratedValue {
  Unknown unknown = Unknown::core_to_base;
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
  std::vector<CalibratedValue> estimates;
  Physical physical;       ///< with the estimates in it
  int n_used = 0;          ///< points used for the fit
  double scatter = 0.0;    ///< of ln(computed / measured) about the fit
  double independence = 0; ///< see LeastSquares; 1 for a single unknown
  std::vector<LeftOut> left_out;
};

/// Least squares of ln(predicted / measured) over the points of the orientations in `use` (empty:
/// all), starting from the case's values: the misfit of a model is about proportional to the rise,
/// so points weigh alike. Refused are more than two unknowns, fewer points than unknowns + 1 or
/// fewer than two different powers per two unknowns, core_to_base when the base was measured,
/// values without physical sense (negative, a heat share above 1.2), unknowns that act alike
/// (independence below 0.05), and intervals wider than +-100 %. Nothing else is ever adjusted.
[[nodiscard]] Calibration calibrate(const Computed& computed,
                                    std::span<const MeasuredPoint> measured,
                                    std::span<const Unknown> unknowns,
                                    std::span<const std::string> use, bool is_at_base);

} // namespace tiltfin
