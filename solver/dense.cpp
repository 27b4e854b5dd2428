#include "solver/dense.hpp"

#include <algorithm>
#include <cmath>
#include <complex>

// Threads are ours to share: the kernels keep to theirs.
#define EIGEN_DONT_PARALLELIZE
#include <Eigen/LU>

namespace tiltfin {

namespace {

/// Largest |L| |U| of a front that is taken, where rows have entries of about one: what rounding
/// adds to the matrix is that times 1e-16 (Higham, Accuracy and Stability of Numerical Algorithms,
/// 2002, theorem 9.3, from memory). Jacobians of flows come to 1e4 at most.
constexpr double largest_growth = 1e5;

/// Columns of an update that are a task of their own, where they are worth one.
constexpr int task_columns = 128;

template <class Scalar>
using Matrix = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;
template <class Scalar>
using Vector = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;
template <class Scalar>
using Block = Eigen::Map<Matrix<Scalar>>;
template <class Scalar>
using ConstBlock = Eigen::Map<const Matrix<Scalar>>;

/// Not a number if one of the entries is.
template <class AnyMatrix>
double largest(const AnyMatrix& matrix) {
  return std::sqrt(matrix.cwiseAbs2().template maxCoeff<Eigen::PropagateNaN>());
}

/// `rest` less `low` times `right`, in pieces that do not depend on the number of threads.
template <class Scalar, class Low>
void subtract(bool splits, const Low& low, const Block<Scalar>& right, Block<Scalar>& rest) {
  if (!splits) {
    rest.noalias() -= low * right;
    return;
  }
  const int behind = static_cast<int>(rest.cols());
  for (int first = 0; first < behind; first += task_columns) {
#pragma omp task firstprivate(first) shared(rest, low, right)
    {
      const int columns = std::min(task_columns, behind - first);
      rest.middleCols(first, columns).noalias() -= low * right.middleCols(first, columns);
    }
  }
#pragma omp taskwait
}

} // namespace

template <class Scalar>
bool eliminate(const DenseFront<Scalar>& front, bool splits, int* exchanged) {
  const int width = front.pivots;
  const int behind = front.behind;
  Block<Scalar> all(front.left, width + behind, width);
  Eigen::Ref<Matrix<Scalar>> pivots(all.topRows(width));
  const Eigen::PartialPivLU<Eigen::Ref<Matrix<Scalar>>> lu(pivots); // in place
  const auto& permutation = lu.permutationP();
  for (int i = 0; i < width; ++i) {
    exchanged[permutation.indices()[i]] = i;
  }
  const double size = largest(pivots);
  if (!std::isfinite(size) || !(pivots.diagonal().cwiseAbs2().minCoeff() > 0.0)) {
    return false;
  }
  if (behind == 0) {
    return true;
  }
  Block<Scalar> right(front.top, width, behind);
  auto low = all.bottomRows(behind);
  right = permutation * right;
  pivots.template triangularView<Eigen::UnitLower>().solveInPlace(right);
  pivots.template triangularView<Eigen::Upper>().template solveInPlace<Eigen::OnTheRight>(low);
  Block<Scalar> rest(front.update, behind, behind);
  subtract(splits, low, right, rest);
  return largest(low) * std::max(size, largest(right)) <= largest_growth;
}

template <class Scalar>
void forward(const DenseFront<const Scalar>& front, Scalar* own, Scalar* others) {
  const ConstBlock<Scalar> all(front.left, front.pivots + front.behind, front.pivots);
  Eigen::Map<Vector<Scalar>> mine(own, front.pivots);
  all.topRows(front.pivots).template triangularView<Eigen::UnitLower>().solveInPlace(mine);
  Eigen::Map<Vector<Scalar>>(others, front.behind).noalias() = all.bottomRows(front.behind) * mine;
}

template <class Scalar>
void backward(const DenseFront<const Scalar>& front, Scalar* own, const Scalar* others) {
  const ConstBlock<Scalar> all(front.left, front.pivots + front.behind, front.pivots);
  const ConstBlock<Scalar> right(front.top, front.pivots, front.behind);
  Eigen::Map<Vector<Scalar>> mine(own, front.pivots);
  mine.noalias() -= right * Eigen::Map<const Vector<Scalar>>(others, front.behind);
  all.topRows(front.pivots).template triangularView<Eigen::Upper>().solveInPlace(mine);
}

using Complex = std::complex<double>;
template bool eliminate(const DenseFront<double>&, bool, int*);
template bool eliminate(const DenseFront<Complex>&, bool, int*);
template void forward(const DenseFront<const double>&, double*, double*);
template void forward(const DenseFront<const Complex>&, Complex*, Complex*);
template void backward(const DenseFront<const double>&, double*, const double*);
template void backward(const DenseFront<const Complex>&, Complex*, const Complex*);

} // namespace tiltfin
