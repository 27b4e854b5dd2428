#include "post/fits/least_squares.hpp"

#include <Eigen/QR>
#include <Eigen/SVD>

#include <cmath>
#include <limits>
#include <stdexcept>

#include <cminpack.h>

namespace tiltfin {
namespace {

std::size_t size(int n) {
  return static_cast<std::size_t>(n);
}

struct Function {
  const Residuals& residuals;
  std::vector<double> above; ///< residuals beside the parameters, for differences
  std::vector<double> below;
};

/// Central differences, the Jacobian column by column: their step balances rounding and curvature.
void differentiate(Function& function, std::span<const double> parameters, double* jacobian) {
  const double relative_step = std::sqrt(std::numeric_limits<double>::epsilon());
  std::vector<double> moved(parameters.begin(), parameters.end());
  for (std::size_t j = 0; j < moved.size(); ++j) {
    const double step =
        parameters[j] == 0.0 ? relative_step : relative_step * std::abs(parameters[j]);
    moved[j] = parameters[j] + step;
    function.residuals(moved, function.above);
    moved[j] = parameters[j] - step;
    function.residuals(moved, function.below);
    moved[j] = parameters[j];
    for (std::size_t k = 0; k < function.above.size(); ++k) {
      *jacobian++ = (function.above[k] - function.below[k]) / (2.0 * step);
    }
  }
}

/// What MINPACK calls: residuals at x for task 1, their Jacobian for task 2.
// NOLINTNEXTLINE(readability-function-size): the eight parameters are MINPACK's
int evaluate(void* data, int n_residuals, int n, const double* x, double* values, double* jacobian,
             int /*leading*/, int task) {
  auto& function = *static_cast<Function*>(data);
  const std::span<const double> parameters(x, size(n));
  if (task == 1) {
    function.residuals(parameters, {values, size(n_residuals)});
  } else {
    differentiate(function, parameters, jacobian);
  }
  return 0;
}

/// Fills what follows from the Jacobian at the minimum.
void describe(const Eigen::MatrixXd& jacobian, LeastSquares& fit) {
  const Eigen::Index n = jacobian.cols();
  const Eigen::VectorXd length = jacobian.colwise().norm();
  fit.inverse_normal.assign(static_cast<std::size_t>(n * n),
                            std::numeric_limits<double>::infinity());
  if (!(length.minCoeff() > 0.0) || !length.allFinite()) {
    return; // a parameter without effect
  }
  // Of A = Q R P^T, R P^T has the singular values and right vectors of A.
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(jacobian *
                                                       length.cwiseInverse().asDiagonal());
  Eigen::MatrixXd small = qr.matrixR().topRows(n).triangularView<Eigen::Upper>();
  small = small * qr.colsPermutation().transpose();
  const Eigen::JacobiSVD<Eigen::MatrixXd, Eigen::NoQRPreconditioner> svd(small,
                                                                         Eigen::ComputeFullV);
  const Eigen::VectorXd& values = svd.singularValues();
  fit.independence = values(n - 1) / values(0);
  if (fit.independence < 1e-8) { // differences are good to about half the digits
    return;
  }
  const Eigen::MatrixXd root =
      length.cwiseInverse().asDiagonal() * svd.matrixV() * values.cwiseInverse().asDiagonal();
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      fit.inverse_normal[static_cast<std::size_t>(i * n + j)] = root.row(i).dot(root.row(j));
    }
  }
}

} // namespace

LeastSquares minimise_squares(const Residuals& residuals, std::span<const double> start,
                              int n_residuals) {
  const auto n = static_cast<int>(start.size());
  if (n == 0 || n_residuals < n) {
    throw std::invalid_argument("least squares need at least as many residuals as parameters");
  }
  LeastSquares fit;
  fit.parameters.assign(start.begin(), start.end());
  Function function{residuals, std::vector<double>(size(n_residuals)),
                    std::vector<double>(size(n_residuals))};
  Eigen::VectorXd values(n_residuals);
  Eigen::MatrixXd jacobian(n_residuals, n);
  constexpr double values_tolerance = 1e-14;
  constexpr double parameters_tolerance = 1e-12;
  constexpr int most_evaluations = 2000;
  constexpr double first_bound = 100.0; // of the step, as MINPACK's documentation recommends
  int evaluations = 0;
  int differentiations = 0;
  std::vector<int> pivots(size(n));
  std::vector<double> work(size(5 * n + n_residuals));
  double* const free = work.data();
  const int status =
      lmder(evaluate, &function, n_residuals, n, fit.parameters.data(), values.data(),
            jacobian.data(), n_residuals, values_tolerance, parameters_tolerance, 0.0,
            most_evaluations, free, 1, first_bound, 0, &evaluations, &differentiations,
            pivots.data(), free + n, free + 2 * n, free + 3 * n, free + 4 * n, free + 5 * n);
  fit.sum_of_squares = values.squaredNorm();
  // 0: improper input, 5: too many evaluations; else at a minimum to the tolerance asked for or to
  // rounding.
  fit.is_converged = std::isfinite(fit.sum_of_squares) && status != 0 && status != 5;
  differentiate(function, fit.parameters, jacobian.data());
  describe(jacobian, fit);
  return fit;
}

} // namespace tiltfin
