#include "solver/linear.hpp"

#include "mesh/index.hpp"
#include "solver/multifrontal.hpp"

#include <algorithm>
#include <cmath>
#include <complex>
#include <type_traits>

namespace tiltfin {

std::shared_ptr<const Fronts> analyse(const SparseMatrix& pattern) {
  return std::make_shared<const Fronts>(make_fronts(pattern));
}

template <class Scalar>
struct SparseSolver<Scalar>::Work {
  std::shared_ptr<const Fronts> analysed; ///< of the pattern alone
  std::shared_ptr<const Fronts> fronts;   ///< those, or further merged where pivots were poor
  Factors<Scalar> factors;
  std::vector<Scalar> scaled;
  std::vector<double> column_scale;
  std::vector<double> row_scale;
};

template <class Scalar>
SparseSolver<Scalar>::SparseSolver(const SparseMatrix& pattern,
                                   const std::vector<double>& column_scale)
    : SparseSolver(analyse(pattern), column_scale) {}

template <class Scalar>
SparseSolver<Scalar>::SparseSolver(const std::shared_ptr<const Fronts>& analysed,
                                   const std::vector<double>& column_scale)
    : work_(std::make_unique<Work>()) {
  work_->fronts = analysed;
  work_->analysed = analysed;
  work_->column_scale = column_scale;
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
  std::vector<double> largest(n, 0.0); // of each row
  std::vector<char> empty(n, 1);       // of each column
  const auto for_each = [&](auto visit) {
    for (std::size_t column = 0; column < n; ++column) {
      for (int k = pattern.column_start[column]; k < pattern.column_start[column + 1]; ++k) {
        visit(index(k), column, value[index(k)] * work.column_scale[column]);
      }
    }
  };
  bool finite = true;
  for_each([&](std::size_t place, std::size_t column, const Scalar& entry) {
    const double size = std::abs(entry);
    double& in_row = largest[index(pattern.row[place])];
    in_row = std::max(in_row, size);
    finite = finite && std::isfinite(size);
    empty[column] = empty[column] != 0 && size == 0.0 ? 1 : 0;
  });
  if (!finite || std::count(largest.begin(), largest.end(), 0.0) > 0 ||
      std::count(empty.begin(), empty.end(), 1) > 0) {
    return false;
  }
  work.row_scale.resize(n);
  for (std::size_t row = 0; row < n; ++row) {
    work.row_scale[row] = 1.0 / largest[row];
  }
  work.scaled.resize(value.size());
  for_each([&](std::size_t place, std::size_t, const Scalar& entry) {
    work.scaled[place] = entry * work.row_scale[index(pattern.row[place])];
  });
  while (true) {
    const std::vector<int> poor = tiltfin::factor(*work.fronts, work.scaled, work.factors);
    if (poor.empty()) {
      return true;
    }
    if (std::any_of(poor.begin(), poor.end(),
                    [&](int k) { return work.fronts->fronts[index(k)].parent < 0; })) {
      work.fronts = work.analysed;
      return false;
    }
    work.fronts = std::make_shared<const Fronts>(merge_with_parents(*work.fronts, poor, pattern));
  }
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
  std::vector<Scalar> x(right_side.size());
  for (std::size_t k = 0; k < x.size(); ++k) {
    x[k] = right_side[k] * work.row_scale[k];
  }
  tiltfin::solve(*work.fronts, work.factors, x);
  for (std::size_t k = 0; k < x.size(); ++k) {
    x[k] *= work.column_scale[k];
  }
  return x;
}

template <class Scalar>
long SparseSolver<Scalar>::fill() const {
  return static_cast<long>(work_->fronts->factor_size);
}

template class SparseSolver<double>;
template class SparseSolver<std::complex<double>>;

} // namespace tiltfin
