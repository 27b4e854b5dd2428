#include "solver/broyden.hpp"

#include <cstddef>

namespace tiltfin {

void Broyden::clear() {
  taken_.clear();
  square_.clear();
}

std::vector<double> Broyden::correct(std::vector<double> dz) {
  for (std::size_t j = 0; j < taken_.size(); ++j) {
    const double share = product(taken_[j], dz) / square_[j];
    if (j + 1 < taken_.size()) {
      for (std::size_t i = 0; i < dz.size(); ++i) {
        dz[i] += share * taken_[j + 1][i];
      }
      continue;
    }
    for (double& value : dz) {
      value /= 1.0 - share;
    }
  }
  taken_.push_back(dz);
  square_.push_back(product(dz, dz));
  return dz;
}

double Broyden::product(const std::vector<double>& a, const std::vector<double>& b) const {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sum += (a[i] / scale_[i]) * (b[i] / scale_[i]);
  }
  return sum;
}

} // namespace tiltfin
