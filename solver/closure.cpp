#include "solver/closure.hpp"

#include <Eigen/Sparse>

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace tiltfin {

namespace {

constexpr double closed = 1e-12;   // rows are to close this well, relative to the strip
constexpr double promised = 1e-10; // and at least this well

std::size_t index(Eigen::Index k) {
  return static_cast<std::size_t>(k);
}

Eigen::VectorXd gaps(std::span<const double> exchange, std::span<const double> lengths) {
  const std::size_t n = lengths.size();
  Eigen::VectorXd gap(static_cast<Eigen::Index>(n));
  for (std::size_t i = 0; i < n; ++i) {
    double sum = 0.0;
    for (std::size_t j = 0; j < n; ++j) {
      sum += exchange[i * n + j];
    }
    gap[static_cast<Eigen::Index>(i)] = lengths[i] - sum;
  }
  return gap;
}

/// How much each entry may move: in proportion to itself, exact ones by `exact` of that.
Eigen::SparseMatrix<double> weights(std::span<const double> exchange, std::span<const char> sampled,
                                    Eigen::Index n, double exact) {
  std::vector<Eigen::Triplet<double>> entries;
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      const std::size_t k = index(i * n + j);
      const double weight = exchange[k] * (sampled[k] != 0 ? 1.0 : exact);
      if (weight > 0.0) {
        entries.emplace_back(i, j, weight);
      }
    }
  }
  Eigen::SparseMatrix<double> matrix(n, n);
  matrix.setFromTriplets(entries.begin(), entries.end());
  return matrix;
}

/// A F becomes A F + w (m_i + m_j), which stays symmetric: the correction smallest in the norm
/// weighted by 1/w. The multipliers m solve (diag(row sums of w) + w) m = gap, which is symmetric
/// and semidefinite: conjugate gradients. Rows without weight are left as they are.
void correct(std::span<double> exchange, const Eigen::SparseMatrix<double>& weight,
             Eigen::VectorXd gap) {
  const Eigen::Index n = gap.size();
  const Eigen::VectorXd sum = weight * Eigen::VectorXd::Ones(n);
  gap = (sum.array() > 0.0).select(gap, 0.0);
  Eigen::SparseMatrix<double> system(n, n);
  system.setIdentity();
  system = Eigen::SparseMatrix<double>(sum.asDiagonal() * system) + weight;
  Eigen::ConjugateGradient<Eigen::SparseMatrix<double>, Eigen::Lower | Eigen::Upper> solver;
  solver.setTolerance(1e-13);
  solver.setMaxIterations(4 * n);
  const Eigen::VectorXd multiplier = solver.compute(system).solve(gap);
  for (Eigen::Index j = 0; j < n; ++j) {
    for (Eigen::SparseMatrix<double>::InnerIterator entry(weight, j); entry; ++entry) {
      exchange[index(entry.row() * n + j)] +=
          entry.value() * (multiplier[entry.row()] + multiplier[j]);
    }
  }
}

} // namespace

double closure_error(std::span<const double> exchange, std::span<const double> lengths) {
  const Eigen::VectorXd gap = gaps(exchange, lengths);
  double worst = 0.0;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    worst = std::max(worst, std::abs(gap[static_cast<Eigen::Index>(i)]) / lengths[i]);
  }
  return worst;
}

void close_rows(std::span<double> exchange, std::span<const char> sampled,
                std::span<const double> lengths) {
  const auto n = static_cast<Eigen::Index>(lengths.size());
  // Where all exact entries are exact, sampled ones can close every row; rounding takes the rest.
  for (const double exact : {0.0, 0.0, 1e-6, 1e-6, 1e-6}) {
    if (closure_error(exchange, lengths) <= closed) {
      return;
    }
    correct(exchange, weights(exchange, sampled, n, exact), gaps(exchange, lengths));
  }
  if (!(closure_error(exchange, lengths) < promised)) {
    throw std::invalid_argument("The view factors cannot be closed.");
  }
}

} // namespace tiltfin
