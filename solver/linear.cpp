#include "solver/linear.hpp"

#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>
#include <utility>

namespace tiltfin {

namespace {
using Matrix = Eigen::SparseMatrix<double, Eigen::ColMajor, int>;

/// The order in which the unknowns are numbered. Eigen's NaturalOrdering returns an empty
/// permutation, and SparseLU then drops its postorder of the elimination tree; an explicit identity
/// keeps it.
struct AsNumbered {
  using PermutationType = Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int>;
  template <class AnyMatrix>
  void operator()(const AnyMatrix& matrix, PermutationType& permutation) const {
    permutation.setIdentity(matrix.cols());
  }
};

using Lu = Eigen::SparseLU<Matrix, AsNumbered>;

} // namespace

struct LinearSolver::Work {
  Matrix matrix;
  Lu lu;
  std::vector<double> column_scale;
  std::vector<double> row_scale;
  bool analysed = false;
};

LinearSolver::LinearSolver(const SparseMatrix& pattern, std::vector<double> column_scale)
    : work_(std::make_unique<Work>()) {
  work_->matrix = Eigen::Map<const Matrix>(
      pattern.n, pattern.n, static_cast<Eigen::Index>(pattern.row.size()),
      pattern.column_start.data(), pattern.row.data(), pattern.value.data());
  work_->column_scale = std::move(column_scale);
  // Prefer the diagonal unless it is ten times smaller than the column's largest: the elimination
  // order stays that of the nested dissection.
  work_->lu.setPivotThreshold(0.1);
}

LinearSolver::~LinearSolver() = default;
LinearSolver::LinearSolver(LinearSolver&&) noexcept = default;
LinearSolver& LinearSolver::operator=(LinearSolver&&) noexcept = default;

bool LinearSolver::factor(const SparseMatrix& matrix) {
  Work& work = *work_;
  const auto n = static_cast<std::size_t>(matrix.n);
  std::vector<double> largest(n, 0.0);
  const auto for_each = [&](auto visit) {
    for (std::size_t column = 0; column < n; ++column) {
      for (int k = matrix.column_start[column]; k < matrix.column_start[column + 1]; ++k) {
        const auto entry = static_cast<std::size_t>(k);
        visit(entry, static_cast<std::size_t>(matrix.row[entry]),
              matrix.value[entry] * work.column_scale[column]);
      }
    }
  };
  bool finite = true;
  for_each([&](std::size_t, std::size_t row, double value) {
    finite = finite && std::isfinite(value);
    largest[row] = std::max(largest[row], std::abs(value));
  });
  if (!finite || std::any_of(largest.begin(), largest.end(), [](double x) { return x == 0.0; })) {
    return false;
  }
  work.row_scale.resize(n);
  for (std::size_t row = 0; row < n; ++row) {
    work.row_scale[row] = 1.0 / largest[row];
  }
  double* values = work.matrix.valuePtr();
  for_each([&](std::size_t entry, std::size_t row, double value) {
    values[entry] = value * work.row_scale[row];
  });
  if (!work.analysed) {
    work.lu.analyzePattern(work.matrix);
    work.analysed = true;
  }
  work.lu.factorize(work.matrix);
  return work.lu.info() == Eigen::Success;
}

std::vector<double> LinearSolver::solve(const std::vector<double>& right_side) const {
  const Work& work = *work_;
  Eigen::VectorXd scaled(static_cast<Eigen::Index>(right_side.size()));
  for (std::size_t k = 0; k < right_side.size(); ++k) {
    scaled[static_cast<Eigen::Index>(k)] = right_side[k] * work.row_scale[k];
  }
  const Eigen::VectorXd solution = work.lu.solve(scaled);
  std::vector<double> result(right_side.size());
  for (std::size_t k = 0; k < result.size(); ++k) {
    result[k] = solution[static_cast<Eigen::Index>(k)] * work.column_scale[k];
  }
  return result;
}

long LinearSolver::fill() const {
  return work_->lu.nnzL() + work_->lu.nnzU();
}

} // namespace tiltfin
