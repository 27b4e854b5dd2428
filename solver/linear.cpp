#include "solver/linear.hpp"

#include "mesh/index.hpp"

#include <Eigen/SparseLU>

#include <algorithm>
#include <cmath>
#include <complex>
#include <type_traits>
#include <utility>

namespace tiltfin {

namespace {

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

} // namespace

template <class Scalar>
struct SparseSolver<Scalar>::Work {
  using Matrix = Eigen::SparseMatrix<Scalar, Eigen::ColMajor, int>;
  Matrix matrix;
  Eigen::SparseLU<Matrix, AsNumbered> lu;
  std::vector<double> column_scale;
  std::vector<double> row_scale;
  bool analysed = false;
};

template <class Scalar>
SparseSolver<Scalar>::SparseSolver(const SparseMatrix& pattern,
                                   const std::vector<double>& column_scale)
    : work_(std::make_unique<Work>()) {
  const std::vector<Scalar> value(pattern.row.size(), Scalar(0.0));
  work_->matrix = Eigen::Map<const typename Work::Matrix>(
      pattern.n, pattern.n, static_cast<Eigen::Index>(pattern.row.size()),
      pattern.column_start.data(), pattern.row.data(), value.data());
  work_->column_scale = column_scale;
  // Prefer the diagonal unless it is ten times smaller than the column's largest: the elimination
  // order stays that of the nested dissection.
  work_->lu.setPivotThreshold(0.1);
}

template <class Scalar>
SparseSolver<Scalar>::~SparseSolver() = default;
template <class Scalar>
SparseSolver<Scalar>::SparseSolver(SparseSolver&&) noexcept = default;
template <class Scalar>
SparseSolver<Scalar>& SparseSolver<Scalar>::operator=(SparseSolver&&) noexcept = default;

template <class Scalar>
bool SparseSolver<Scalar>::factor(const SparseMatrix& pattern, const std::vector<Scalar>& value) {
  Work& work = *work_;
  const std::size_t n = index(pattern.n);
  std::vector<double> largest(n, 0.0);
  const auto for_each = [&](auto visit) {
    for (std::size_t column = 0; column < n; ++column) {
      for (int k = pattern.column_start[column]; k < pattern.column_start[column + 1]; ++k) {
        visit(index(k), index(pattern.row[index(k)]), value[index(k)] * work.column_scale[column]);
      }
    }
  };
  bool finite = true;
  for_each([&](std::size_t, std::size_t row, const Scalar& entry) {
    const double size = std::abs(entry);
    finite = finite && std::isfinite(size);
    largest[row] = std::max(largest[row], size);
  });
  if (!finite || std::any_of(largest.begin(), largest.end(), [](double x) { return x == 0.0; })) {
    return false;
  }
  work.row_scale.resize(n);
  for (std::size_t row = 0; row < n; ++row) {
    work.row_scale[row] = 1.0 / largest[row];
  }
  Scalar* scaled = work.matrix.valuePtr();
  for_each([&](std::size_t place, std::size_t row, const Scalar& entry) {
    scaled[place] = entry * work.row_scale[row];
  });
  if (!work.analysed) {
    work.lu.analyzePattern(work.matrix);
    work.analysed = true;
  }
  work.lu.factorize(work.matrix);
  return work.lu.info() == Eigen::Success;
}

template <class Scalar>
bool SparseSolver<Scalar>::factor(const SparseMatrix& matrix) {
  if constexpr (std::is_same_v<Scalar, double>) {
    return factor(matrix, matrix.value);
  } else {
    return factor(matrix, std::vector<Scalar>(matrix.value.begin(), matrix.value.end()));
  }
}

template <class Scalar>
std::vector<Scalar> SparseSolver<Scalar>::solve(const std::vector<Scalar>& right_side) const {
  const Work& work = *work_;
  Eigen::Matrix<Scalar, Eigen::Dynamic, 1> scaled(static_cast<Eigen::Index>(right_side.size()));
  for (std::size_t k = 0; k < right_side.size(); ++k) {
    scaled[static_cast<Eigen::Index>(k)] = right_side[k] * work.row_scale[k];
  }
  const Eigen::Matrix<Scalar, Eigen::Dynamic, 1> solution = work.lu.solve(scaled);
  std::vector<Scalar> result(right_side.size());
  for (std::size_t k = 0; k < result.size(); ++k) {
    result[k] = solution[static_cast<Eigen::Index>(k)] * work.column_scale[k];
  }
  return result;
}

template <class Scalar>
long SparseSolver<Scalar>::fill() const {
  return work_->lu.nnzL() + work_->lu.nnzU();
}

template class SparseSolver<double>;
template class SparseSolver<std::complex<double>>;

} // namespace tiltfin
