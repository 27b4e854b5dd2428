#include "post/numbers/spreading.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace tiltfin {
namespace {

constexpr int terms = 400; // what is cut off is below 1e-4 of the sum for sources from 1 % on

/// The n-th wave along one direction: its number, and how much of it the source feels.
struct Wave {
  double number = 0.0; ///< [1/m]
  double share = 0.0;  ///< squared mean of the wave over the source, twice that for n > 0 [-]
};

Wave wave(int n, double length, double source) {
  if (n == 0) {
    return {0.0, 1.0};
  }
  const double number = 2.0 * std::numbers::pi * n / length;
  const double mean = std::sin(0.5 * number * source) / (0.5 * number * source);
  return {number, 2.0 * mean * mean};
}

} // namespace

double spreading_resistance(const Spreader& spreader) {
  const bool positive = spreader.source_length > 0.0 && spreader.source_depth > 0.0 &&
                        spreader.thickness > 0.0 && spreader.conductivity > 0.0;
  if (!positive || !(spreader.source_length <= spreader.length) ||
      !(spreader.source_depth <= spreader.depth)) {
    throw std::invalid_argument("A source that spreads heat needs positive sizes and a plate that "
                                "is at least as large.");
  }
  double sum = 0.0; // [m]
  for (int m = 0; m < terms; ++m) {
    const Wave along = wave(m, spreader.length, spreader.source_length);
    for (int n = m == 0 ? 1 : 0; n < terms; ++n) {
      const Wave across = wave(n, spreader.depth, spreader.source_depth);
      const double number = std::hypot(along.number, across.number);
      sum += along.share * across.share / (number * std::tanh(number * spreader.thickness));
    }
  }
  return sum / (spreader.conductivity * spreader.length * spreader.depth);
}

} // namespace tiltfin
