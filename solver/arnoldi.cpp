#include "solver/arnoldi.hpp"

#include <algorithm>

#include <Spectra/GenEigsSolver.h>

namespace tiltfin {

namespace {

constexpr double tolerance = 1e-4; // relative
constexpr int max_restarts = 30;
constexpr int vectors_per_value = 5; // of the Krylov basis: restarts cost more than vectors

/// What Spectra asks of an operator.
class Operator {
public:
  using Scalar = double;

  Operator(int n, const std::function<std::vector<double>(const std::vector<double>&)>& apply)
      : n_(n), apply_(apply) {}

  [[nodiscard]] Eigen::Index rows() const { return n_; }
  [[nodiscard]] Eigen::Index cols() const { return n_; }

  void perform_op(const double* x, double* y) const { // NOLINT(readability-identifier-naming)
    const std::vector<double> result = apply_({x, x + n_});
    std::copy(result.begin(), result.end(), y);
  }

private:
  int n_;
  const std::function<std::vector<double>(const std::vector<double>&)>& apply_;
};

} // namespace

Eigenvectors
largest_eigenvectors(int n, int wanted,
                     const std::function<std::vector<double>(const std::vector<double>&)>& apply) {
  Operator spectra_view(n, apply);
  Spectra::GenEigsSolver<Operator> solver(spectra_view, wanted,
                                          std::min(n, vectors_per_value * wanted));
  solver.init();
  (void)solver.compute(Spectra::SortRule::LargestMagn, max_restarts, tolerance);
  const Eigen::MatrixXcd vectors = solver.eigenvectors(); // of those that converged
  const Eigen::VectorXcd values = solver.eigenvalues();
  Eigenvectors result;
  result.complete = solver.info() == Spectra::CompInfo::Successful;
  result.values.assign(values.data(), values.data() + values.size());
  for (Eigen::Index k = 0; k < vectors.cols(); ++k) {
    const Eigen::VectorXcd vector = vectors.col(k);
    result.vectors.emplace_back(vector.data(), vector.data() + vector.size());
  }
  return result;
}

} // namespace tiltfin
