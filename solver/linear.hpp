#pragma once
// The sparse LU behind one small interface. The numbering of the unknowns is the elimination
// order; rows and columns are scaled before factoring.

#include "solver/assembly.hpp"

#include <memory>
#include <vector>

namespace tiltfin {

class LinearSolver {
public:
  /// `column_scale`: typical size of each unknown; its pattern must not change afterwards.
  LinearSolver(const SparseMatrix& pattern, std::vector<double> column_scale);
  ~LinearSolver();
  LinearSolver(const LinearSolver&) = delete;
  LinearSolver& operator=(const LinearSolver&) = delete;
  LinearSolver(LinearSolver&&) noexcept;
  LinearSolver& operator=(LinearSolver&&) noexcept;

  /// False when the matrix is singular or not finite.
  [[nodiscard]] bool factor(const SparseMatrix& matrix);

  /// Solution of the last factored system; not finite numbers mean failure.
  [[nodiscard]] std::vector<double> solve(const std::vector<double>& right_side) const;

  /// Entries of both factors.
  [[nodiscard]] long fill() const;

private:
  struct Work;
  std::unique_ptr<Work> work_;
};

} // namespace tiltfin
