#pragma once
// The sparse LU behind one small interface: scaled rows and columns, dense fronts
// (solver/multifrontal). The numbering of the unknowns is the order of elimination.

#include "solver/assembly.hpp"

#include <complex>
#include <memory>
#include <vector>

namespace tiltfin {

struct Fronts;

/// What depends on the pattern alone, for several solvers to share.
[[nodiscard]] std::shared_ptr<const Fronts> analyse(const SparseMatrix& pattern);

/// `Scalar`: double, or std::complex<double> for the search of oscillating modes.
template <class Scalar>
class SparseSolver {
public:
  /// `column_scale`: typical size of each unknown; the pattern must not change afterwards.
  SparseSolver(const SparseMatrix& pattern, const std::vector<double>& column_scale);
  SparseSolver(const std::shared_ptr<const Fronts>& analysed,
               const std::vector<double>& column_scale);
  ~SparseSolver();
  SparseSolver(const SparseSolver&) = delete;
  SparseSolver& operator=(const SparseSolver&) = delete;
  SparseSolver(SparseSolver&&) noexcept;
  SparseSolver& operator=(SparseSolver&&) noexcept;

  /// The matrix with the entries `value` at the places of `pattern`. False when it is singular or
  /// not finite.
  [[nodiscard]] bool factor(const SparseMatrix& pattern, const std::vector<Scalar>& value);
  [[nodiscard]] bool factor(const SparseMatrix& matrix);

  /// Solution of the last factored system; not finite numbers mean failure.
  [[nodiscard]] std::vector<Scalar> solve(const std::vector<Scalar>& right_side) const;

  /// Entries of both factors, with the zeros stored among them.
  [[nodiscard]] long fill() const;

private:
  struct Work;
  std::unique_ptr<Work> work_;
};

using LinearSolver = SparseSolver<double>;

} // namespace tiltfin
