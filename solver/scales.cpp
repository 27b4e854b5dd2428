#include "solver/scales.hpp"

#include "mesh/index.hpp"
#include "solver/equations.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {

namespace {

constexpr double smallest_temperature_range = 1.0; // K

template <class Visit>
void for_each_psi(const Unknowns& unknowns, Visit visit) {
  for (const int k : unknowns.psi) {
    if (k >= 0) {
      visit(index(k));
    }
  }
}

template <class Visit>
void for_each_temperature(const Unknowns& unknowns, Visit visit) {
  for (const int k : unknowns.temperature) {
    visit(index(k));
  }
  for (const int k : unknowns.fin_temperature) {
    visit(index(k));
  }
}

} // namespace

Scales measure_scales(const Problem& problem, const Unknowns& unknowns,
                      const std::vector<double>& z) {
  double psi_low = 0.0;
  double psi_high = 0.0;
  for_each_psi(unknowns, [&](std::size_t k) {
    psi_low = std::min(psi_low, z[k]);
    psi_high = std::max(psi_high, z[k]);
  });
  double cold = std::numeric_limits<double>::infinity();
  double hot = -cold;
  for_each_temperature(unknowns, [&](std::size_t k) {
    cold = std::min(cold, z[k]);
    hot = std::max(hot, z[k]);
  });
  return {std::max(psi_high - psi_low, problem.air.diffusivity()),
          std::max(hot - cold, smallest_temperature_range)};
}

std::vector<double> scale_vector(const Problem& problem, const Unknowns& unknowns,
                                 const Scales& scales) {
  std::vector<double> scale(index(unknowns.n), scales.temperature);
  for_each_psi(unknowns, [&](std::size_t k) { scale[k] = scales.psi; });
  for (std::size_t k = 0; k < unknowns.link.size(); ++k) {
    scale[index(unknowns.link[k])] = scales.temperature * problem.links[k].conductance;
  }
  for (std::size_t k = 0; k < unknowns.air_age.size(); ++k) {
    scale[index(unknowns.air_age[k])] = developed_age(problem.media[k], problem.air);
  }
  const double black = 4.0 * stefan_boltzmann * std::pow(problem.air.reference_temperature, 3);
  for (std::size_t k = 0; k < unknowns.radiosity.size(); ++k) {
    scale[index(unknowns.radiosity[k])] = scales.temperature * black;
    scale[index(unknowns.irradiation[k])] = scales.temperature * black;
  }
  return scale;
}

double relative_residual(const SparseMatrix& matrix, const std::vector<double>& f,
                         const std::vector<double>& scale) {
  std::vector<double> size(f.size(), 0.0);
  for (std::size_t column = 0; column < f.size(); ++column) {
    for (int k = matrix.column_start[column]; k < matrix.column_start[column + 1]; ++k) {
      size[index(matrix.row[index(k)])] += std::abs(matrix.value[index(k)]) * scale[column];
    }
  }
  double largest = 0.0;
  for (std::size_t row = 0; row < f.size(); ++row) {
    const double relative = std::abs(f[row]) / size[row];
    if (relative > largest || std::isnan(relative)) {
      largest = relative; // once NaN, it stays
    }
  }
  return largest;
}

double relative_change(const Unknowns& unknowns, const std::vector<double>& dz,
                       const std::vector<double>& scale) {
  double largest = 0.0;
  const auto take = [&](std::size_t k) {
    const double relative = std::abs(dz[k]) / scale[k];
    if (relative > largest || std::isnan(relative)) {
      largest = relative; // once NaN, it stays
    }
  };
  for_each_psi(unknowns, take);
  for_each_temperature(unknowns, take);
  return largest;
}

double heat_imbalance(const Problem& problem, const Unknowns& unknowns,
                      const std::vector<double>& f) {
  double sum = 0.0;
  double released = 0.0;
  for_each_temperature(unknowns, [&](std::size_t k) { sum += f[k]; });
  for (const double heat : problem.heat) {
    released += heat;
  }
  return released > 0.0 ? std::abs(sum) / released : 0.0;
}

} // namespace tiltfin
