#include "post/numbers/order_averaged.hpp"

#include <bit>

namespace tiltfin {

std::vector<double> order_averaged(const std::vector<double>& values) {
  const int n = std::countr_zero(values.size());
  // Of a change that comes after `size` others: size! (n - 1 - size)! / n!
  std::vector<double> weights{1.0 / n};
  for (int size = 1; size < n; ++size) {
    weights.push_back(weights.back() * size / (n - size));
  }
  std::vector<double> parts(static_cast<std::size_t>(n), 0.0);
  for (std::size_t subset = 0; subset < values.size(); ++subset) {
    for (int k = 0; k < n; ++k) {
      const std::size_t bit = std::size_t{1} << static_cast<unsigned>(k);
      if ((subset & bit) == 0) {
        parts[static_cast<std::size_t>(k)] +=
            weights[static_cast<std::size_t>(std::popcount(subset))] *
            (values[subset | bit] - values[subset]);
      }
    }
  }
  return parts;
}

} // namespace tiltfin
