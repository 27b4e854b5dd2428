#include "post/fits/least_squares.hpp"

#include <Eigen/Dense>

#include <cmath>
#include <limits>
#include <stdexcept>

#include <unsupported/Eigen/NonLinearOptimization>
#include <unsupported/Eigen/NumericalDiff>

namespace tiltfin {
namespace {

/// What Eigen asks of a function to minimise; the names are Eigen's.
struct Function {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic }; // NOLINT

  const Residuals* residuals = nullptr;
  int n_parameters = 0;
  int n_residuals = 0;

  [[nodiscard]] int inputs() const { return n_parameters; }
  [[nodiscard]] int values() const { return n_residuals; }
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& r) const {
    (*residuals)({x.data(), static_cast<std::size_t>(x.size())},
                 {r.data(), static_cast<std::size_t>(r.size())});
    return 0;
  }
};

using Differentiated = Eigen::NumericalDiff<Function, Eigen::Central>;

/// Fills what follows from the Jacobian at the minimum.
void describe(const Eigen::MatrixXd& jacobian, LeastSquares& fit) {
  const Eigen::Index n = jacobian.cols();
  Eigen::VectorXd length = jacobian.colwise().norm();
  fit.inverse_normal.assign(static_cast<std::size_t>(n * n),
                            std::numeric_limits<double>::infinity());
  if (!(length.minCoeff() > 0.0) || !length.allFinite()) {
    return; // a parameter without effect
  }
  const Eigen::MatrixXd scaled = jacobian * length.cwiseInverse().asDiagonal();
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(scaled, Eigen::ComputeThinV);
  const Eigen::VectorXd& values = svd.singularValues();
  fit.independence = values(n - 1) / values(0);
  if (fit.independence < 1e-8) { // differences are good to about half the digits
    return;
  }
  const Eigen::MatrixXd root =
      length.cwiseInverse().asDiagonal() * svd.matrixV() * values.cwiseInverse().asDiagonal();
  const Eigen::MatrixXd inverse = root * root.transpose();
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      fit.inverse_normal[static_cast<std::size_t>(i * n + j)] = inverse(i, j);
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
  Differentiated function(Function{&residuals, n, n_residuals});
  Eigen::VectorXd x = Eigen::Map<const Eigen::VectorXd>(start.data(), n);
  Eigen::LevenbergMarquardt<Differentiated> solver(function);
  solver.parameters.xtol = 1e-12;
  solver.parameters.ftol = 1e-14;
  solver.parameters.maxfev = 2000;
  const Eigen::LevenbergMarquardtSpace::Status status = solver.minimize(x);

  LeastSquares fit;
  fit.parameters.assign(x.data(), x.data() + n);
  Eigen::VectorXd values(n_residuals);
  function(x, values);
  fit.sum_of_squares = values.squaredNorm();
  // Every status but these is an end at a minimum to the tolerance asked for or to rounding.
  fit.is_converged = std::isfinite(fit.sum_of_squares) &&
                     status != Eigen::LevenbergMarquardtSpace::ImproperInputParameters &&
                     status != Eigen::LevenbergMarquardtSpace::TooManyFunctionEvaluation;
  Eigen::MatrixXd jacobian(n_residuals, n);
  function.df(x, jacobian);
  describe(jacobian, fit);
  return fit;
}

} // namespace tiltfin
