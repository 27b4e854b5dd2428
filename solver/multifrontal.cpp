#include "solver/multifrontal.hpp"

#include "mesh/index.hpp"

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

enum FrontState : char { good, poor, skipped };

template <class Scalar>
using Matrix = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;
template <class Scalar>
using Block = Eigen::Map<Matrix<Scalar>>;
template <class Scalar>
using ConstBlock = Eigen::Map<const Matrix<Scalar>>;

/// Not a number if one of the entries is.
template <class AnyMatrix>
double largest(const AnyMatrix& matrix) {
  return std::sqrt(matrix.cwiseAbs2().template maxCoeff<Eigen::PropagateNaN>());
}

template <class Scalar>
class Elimination {
public:
  Elimination(const Fronts& fronts, const std::vector<Scalar>& value, Factors<Scalar>& factors)
      : fronts_(fronts.fronts), value_(value), factors_(factors) {
    first_pivot_.reserve(fronts_.size());
    int pivots = 0;
    for (const Front& front : fronts_) {
      first_pivot_.push_back(pivots);
      pivots += front.pivots;
    }
    factors_.block.resize(fronts.factor_size);
    factors_.updates.resize(fronts.update_size);
    factors_.row_of.resize(index(pivots));
    factors_.front_state.assign(fronts_.size(), good);
  }

  /// The front after all those below it.
  void subtree(int k) { // NOLINT(misc-no-recursion)
    const Front& front = fronts_[index(k)];
    if (front.forks) {
      for (const int child : front.children) {
#pragma omp task firstprivate(child)
        subtree(child);
      }
#pragma omp taskwait
    }
    begin(front);
    for (const int child : front.children) {
      if (!front.forks) {
        subtree(child);
      }
      add(fronts_[index(child)], front);
    }
    const bool complete =
        std::all_of(front.children.begin(), front.children.end(),
                    [this](int child) { return factors_.front_state[index(child)] == good; });
    FrontState state = skipped;
    if (complete) {
      state = eliminate(front, first_pivot_[index(k)]) ? good : poor;
    }
    factors_.front_state[index(k)] = state;
  }

private:
  [[nodiscard]] Scalar* left(const Front& front) {
    return factors_.block.data() + front.factors;
  }
  [[nodiscard]] Scalar* top(const Front& front) {
    return left(front) + index(front.height()) * index(front.pivots);
  }
  [[nodiscard]] Scalar* update(const Front& front) {
    return factors_.updates.data() + front.update;
  }

  /// The front with its entries of the matrix alone.
  void begin(const Front& front) {
    Scalar* block = left(front);
    const std::size_t behind = index(front.behind());
    std::fill_n(block, index(front.pivots) * (index(front.height()) + behind), Scalar(0.0));
    std::fill_n(update(front), behind * behind, Scalar(0.0));
    for (std::size_t k = 0; k < front.entry.size(); ++k) {
      block[front.place[k]] += value_[index(front.entry[k])];
    }
  }

  void add(const Front& child, const Front& front) {
    const std::vector<int>& to = child.in_parent;
    const std::size_t n = to.size();
    const auto split =
        static_cast<std::size_t>(std::lower_bound(to.begin(), to.end(), front.pivots) - to.begin());
    const Scalar* from = update(child);
    for (std::size_t j = 0; j < n; ++j, from += n) {
      if (j < split) {
        Scalar* column = left(front) + index(front.height()) * index(to[j]);
        for (std::size_t i = 0; i < n; ++i) {
          column[to[i]] += from[i];
        }
        continue;
      }
      Scalar* high = top(front) + index(front.pivots) * index(to[j] - front.pivots);
      for (std::size_t i = 0; i < split; ++i) {
        high[to[i]] += from[i];
      }
      Scalar* low = update(front) + index(front.behind()) * index(to[j] - front.pivots);
      for (std::size_t i = split; i < n; ++i) {
        low[to[i] - front.pivots] += from[i];
      }
    }
  }

  /// False when its pivots will not do.
  bool eliminate(const Front& front, int first_pivot) {
    const int width = front.pivots;
    const int behind = front.behind();
    Block<Scalar> all(left(front), front.height(), width);
    Eigen::Ref<Matrix<Scalar>> pivots(all.topRows(width));
    const Eigen::PartialPivLU<Eigen::Ref<Matrix<Scalar>>> lu(pivots); // in place
    const auto& permutation = lu.permutationP();
    for (int i = 0; i < width; ++i) {
      const int place = first_pivot + permutation.indices()[i];
      factors_.row_of[index(place)] = front.unknowns[index(i)];
    }
    const double size = largest(pivots);
    if (!std::isfinite(size) || !(pivots.diagonal().cwiseAbs2().minCoeff() > 0.0)) {
      return false;
    }
    if (behind == 0) {
      return true;
    }
    Block<Scalar> right(top(front), width, behind);
    auto low = all.bottomRows(behind);
    right = permutation * right;
    pivots.template triangularView<Eigen::UnitLower>().solveInPlace(right);
    pivots.template triangularView<Eigen::Upper>().template solveInPlace<Eigen::OnTheRight>(low);
    subtract(front, low, right);
    return largest(low) * std::max(size, largest(right)) <= largest_growth;
  }

  /// The update less `low` times `right`, in pieces that do not depend on the number of threads.
  template <class Low>
  void subtract(const Front& front, const Low& low, const Block<Scalar>& right) {
    const int behind = front.behind();
    Block<Scalar> rest(update(front), behind, behind);
    if (!front.splits) {
      rest.noalias() -= low * right;
      return;
    }
    for (int first = 0; first < behind; first += task_columns) {
#pragma omp task firstprivate(first) shared(rest, low, right)
      {
        const int columns = std::min(task_columns, behind - first);
        rest.middleCols(first, columns).noalias() -= low * right.middleCols(first, columns);
      }
    }
#pragma omp taskwait
  }

  const std::vector<Front>& fronts_;
  const std::vector<Scalar>& value_;
  Factors<Scalar>& factors_;
  std::vector<int> first_pivot_;
};

} // namespace

template <class Scalar>
std::vector<int> factor(const Fronts& fronts, const std::vector<Scalar>& value,
                        Factors<Scalar>& factors) {
  Elimination<Scalar> elimination(fronts, value, factors);
  std::vector<int> poor_ones;
  for (int k = 0; k < static_cast<int>(fronts.fronts.size()); ++k) {
    if (fronts.fronts[index(k)].parent < 0) {
      elimination.subtree(k);
    }
  }
  for (std::size_t k = 0; k < factors.front_state.size(); ++k) {
    if (factors.front_state[k] == poor) {
      poor_ones.push_back(static_cast<int>(k));
    }
  }
  return poor_ones;
}

template <class Scalar>
void solve(const Fronts& fronts, const Factors<Scalar>& factors, std::vector<Scalar>& x) {
  using Vector = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;
  Vector own_room(fronts.largest_pivots);
  Vector others_room(fronts.largest_behind);
  const int* row = factors.row_of.data();
  for (const Front& front : fronts.fronts) {
    const int width = front.pivots;
    const int behind = front.behind();
    const ConstBlock<Scalar> all(factors.block.data() + front.factors, front.height(), width);
    auto own = own_room.head(width);
    for (int i = 0; i < width; ++i) {
      own[i] = x[index(row[i])];
    }
    row += width;
    all.topRows(width).template triangularView<Eigen::UnitLower>().solveInPlace(own);
    auto others = others_room.head(behind);
    others.noalias() = all.bottomRows(behind) * own;
    for (int i = 0; i < width; ++i) {
      x[index(front.unknowns[index(i)])] = own[i];
    }
    for (int i = 0; i < behind; ++i) {
      x[index(front.unknowns[index(width + i)])] -= others[i];
    }
  }
  for (auto front = fronts.fronts.rbegin(); front != fronts.fronts.rend(); ++front) {
    const int width = front->pivots;
    const int behind = front->behind();
    const ConstBlock<Scalar> all(factors.block.data() + front->factors, front->height(), width);
    const ConstBlock<Scalar> right(all.data() + all.size(), width, behind);
    auto own = own_room.head(width);
    for (int i = 0; i < width; ++i) {
      own[i] = x[index(front->unknowns[index(i)])];
    }
    auto others = others_room.head(behind);
    for (int i = 0; i < behind; ++i) {
      others[i] = x[index(front->unknowns[index(width + i)])];
    }
    own.noalias() -= right * others;
    all.topRows(width).template triangularView<Eigen::Upper>().solveInPlace(own);
    for (int i = 0; i < width; ++i) {
      x[index(front->unknowns[index(i)])] = own[i];
    }
  }
}

using Complex = std::complex<double>;
template std::vector<int> factor(const Fronts&, const std::vector<double>&, Factors<double>&);
template std::vector<int> factor(const Fronts&, const std::vector<Complex>&, Factors<Complex>&);
template void solve(const Fronts&, const Factors<double>&, std::vector<double>&);
template void solve(const Fronts&, const Factors<Complex>&, std::vector<Complex>&);

} // namespace tiltfin
