// Threads share the tree of fronts; Eigen's products, whose sums would depend on how many take
// part, are each done by one.
#define EIGEN_DONT_PARALLELIZE
#include "solver/multifrontal.hpp"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <complex>

#include <omp.h>

namespace tiltfin {

namespace {

/// Entries of L below a front's pivots: those of Jacobians stay below 1e4 (shipped cases, all
/// stages), each power of ten costs a digit of sixteen.
constexpr double largest_multiplier = 1e5;

enum FrontState : char { good, poor, skipped };

std::size_t index(int k) {
  return static_cast<std::size_t>(k);
}

template <class Scalar>
using Block = Eigen::Map<Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>>;
template <class Scalar>
using ConstBlock = Eigen::Map<const Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>>;
template <class Scalar>
using Columns = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;

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
    factors_.block.resize(static_cast<Eigen::Index>(fronts.factor_size));
    factors_.updates.resize(static_cast<Eigen::Index>(fronts.update_size));
    factors_.row_of.resize(index(pivots));
    factors_.front_state.assign(fronts_.size(), good);
  }

  /// All fronts, children before parents.
  void run(int threads) {
#pragma omp parallel num_threads(threads) if (threads > 1)
#pragma omp single
    for (std::size_t k = 0; k < fronts_.size(); ++k) {
      if (fronts_[k].parent < 0) {
        subtree(static_cast<int>(k));
      }
    }
  }

private:
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
    char& state = factors_.front_state[index(k)];
    const bool complete =
        std::all_of(front.children.begin(), front.children.end(),
                    [this](int child) { return factors_.front_state[index(child)] == good; });
    state = !complete ? skipped : (eliminate(front, first_pivot_[index(k)]) ? good : poor);
  }

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

  /// False when a pivot is not finite or too small.
  bool eliminate(const Front& front, int first_pivot) {
    const int width = front.pivots;
    const int behind = front.behind();
    Block<Scalar> all(left(front), front.height(), width);
    Eigen::Ref<Columns<Scalar>> pivots(all.topRows(width));
    const Eigen::PartialPivLU<Eigen::Ref<Columns<Scalar>>> lu(pivots); // in place
    const auto& permutation = lu.permutationP();
    for (int i = 0; i < width; ++i) {
      const int place = first_pivot + permutation.indices()[i];
      factors_.row_of[index(place)] = front.unknowns[index(i)];
    }
    const double smallest = pivots.diagonal().cwiseAbs().minCoeff();
    const bool finite = std::isfinite(pivots.cwiseAbs().sum());
    if (!finite || !(smallest > 0.0)) {
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
    Block<Scalar>(update(front), behind, behind).noalias() -= low * right;
    return low.cwiseAbs().maxCoeff() <= largest_multiplier;
  }

  const std::vector<Front>& fronts_;
  const std::vector<Scalar>& value_;
  Factors<Scalar>& factors_;
  std::vector<int> first_pivot_;
};

/// Forward through the fronts and back; `Count`: 1, or dynamic.
template <class Scalar, int Count>
void substitute(const std::vector<Front>& fronts, const Factors<Scalar>& factors, int count,
                Scalar* right_sides) {
  using Some = Eigen::Matrix<Scalar, Eigen::Dynamic, Count>;
  Eigen::Map<Some> x(right_sides, static_cast<Eigen::Index>(factors.row_of.size()), count);
  Some own;
  Some others;
  const int* row = factors.row_of.data();
  for (const Front& front : fronts) {
    const int width = front.pivots;
    const int behind = front.behind();
    const ConstBlock<Scalar> all(factors.block.data() + front.factors, front.height(), width);
    own.resize(width, count);
    for (int i = 0; i < width; ++i) {
      own.row(i) = x.row(row[i]);
    }
    row += width;
    all.topRows(width).template triangularView<Eigen::UnitLower>().solveInPlace(own);
    others.noalias() = all.bottomRows(behind) * own;
    for (int i = 0; i < width; ++i) {
      x.row(front.unknowns[index(i)]) = own.row(i);
    }
    for (int i = 0; i < behind; ++i) {
      x.row(front.unknowns[index(width + i)]) -= others.row(i);
    }
  }
  for (auto front = fronts.rbegin(); front != fronts.rend(); ++front) {
    const int width = front->pivots;
    const int behind = front->behind();
    const ConstBlock<Scalar> all(factors.block.data() + front->factors, front->height(), width);
    const ConstBlock<Scalar> right(all.data() + all.size(), width, behind);
    own.resize(width, count);
    for (int i = 0; i < width; ++i) {
      own.row(i) = x.row(front->unknowns[index(i)]);
    }
    others.resize(behind, count);
    for (int i = 0; i < behind; ++i) {
      others.row(i) = x.row(front->unknowns[index(width + i)]);
    }
    own.noalias() -= right * others;
    all.topRows(width).template triangularView<Eigen::Upper>().solveInPlace(own);
    for (int i = 0; i < width; ++i) {
      x.row(front->unknowns[index(i)]) = own.row(i);
    }
  }
}

} // namespace

int spare_threads() {
  return omp_in_parallel() != 0 ? 1 : omp_get_max_threads();
}

template <class Scalar>
std::vector<int> factor(const Fronts& fronts, const std::vector<Scalar>& value, int threads,
                        Factors<Scalar>& factors) {
  Elimination<Scalar>(fronts, value, factors).run(fronts.fork ? threads : 1);
  std::vector<int> poor_ones;
  for (std::size_t k = 0; k < factors.front_state.size(); ++k) {
    if (factors.front_state[k] == poor) {
      poor_ones.push_back(static_cast<int>(k));
    }
  }
  return poor_ones;
}

template <class Scalar>
void solve(const Fronts& fronts, const Factors<Scalar>& factors, int count,
           std::vector<Scalar>& right_sides) {
  if (count == 1) {
    substitute<Scalar, 1>(fronts.fronts, factors, count, right_sides.data());
  } else {
    substitute<Scalar, Eigen::Dynamic>(fronts.fronts, factors, count, right_sides.data());
  }
}

using Complex = std::complex<double>;
template std::vector<int> factor(const Fronts&, const std::vector<double>&, int, Factors<double>&);
template std::vector<int> factor(const Fronts&, const std::vector<Complex>&, int,
                                 Factors<Complex>&);
template void solve(const Fronts&, const Factors<double>&, int, std::vector<double>&);
template void solve(const Fronts&, const Factors<Complex>&, int, std::vector<Complex>&);

} // namespace tiltfin
