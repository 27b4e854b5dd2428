#pragma once
// Nonlinear least squares for a handful of parameters (Levenberg-Marquardt).

#include <functional>
#include <span>
#include <vector>

namespace tiltfin {

/// Writes the residuals of `parameters` into its second argument.
using Residuals = std::function<void(std::span<const double>, std::span<double>)>;

struct LeastSquares {
  std::vector<double> parameters;
  /// (J^T J)^-1 at the minimum, n_parameters x n_parameters, row by row; times the variance of a
  /// residual it is the parameters' covariance. Infinite where the residuals do not tell them
  /// apart.
  std::vector<double> inverse_normal;
  double sum_of_squares = 0.0;
  /// Smallest over largest singular value of J with its columns scaled to length 1: 1 when the
  /// parameters act independently, 0 when they cannot be told apart.
  double independence = 0.0;
  bool is_converged = false;
};

/// Minimises the sum of squares from `start`, with derivatives by differences. Needs at least as
/// many residuals as parameters; throws std::invalid_argument otherwise.
[[nodiscard]] LeastSquares minimise_squares(const Residuals& residuals,
                                            std::span<const double> start, int n_residuals);

} // namespace tiltfin
