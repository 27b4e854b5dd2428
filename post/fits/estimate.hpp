#pragma once
// A number that is not known exactly.

#include <cmath>
#include <limits>

namespace tiltfin {

/// Not known, or there is none.
inline constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// A value with the half-width of its error bar, in the unit of whoever holds it (the error of a
/// temperature is in K). NaN stands for no value, and for an error that is not known.
struct Estimate {
  double value = 0.0;
  double error = nan;

  /// Half-width to draw and to compare with: 0 where the error is not known.
  [[nodiscard]] double bar() const { return std::isfinite(error) ? error : 0.0; }
};

/// True when the error bars leave open which of the two is higher.
[[nodiscard]] inline bool is_too_close(const Estimate& a, const Estimate& b) {
  return std::abs(a.value - b.value) <= a.bar() + b.bar();
}

} // namespace tiltfin
