#include "solver/multifrontal.hpp"

#include "mesh/index.hpp"
#include "solver/dense.hpp"

#include <algorithm>
#include <complex>

namespace tiltfin {

namespace {

enum FrontState : char { good, poor, skipped };

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
      state = take(front, first_pivot_[index(k)]) ? good : poor;
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
  bool take(const Front& front, int first_pivot) {
    std::vector<int> exchanged(index(front.pivots));
    const bool taken = eliminate(
        DenseFront<Scalar>{front.pivots, front.behind(), left(front), top(front), update(front)},
        front.splits, exchanged.data());
    for (std::size_t i = 0; i < exchanged.size(); ++i) {
      factors_.row_of[index(first_pivot) + i] = front.unknowns[index(exchanged[i])];
    }
    return taken;
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
  typename Factors<Scalar>::Numbers own(index(fronts.largest_pivots));
  typename Factors<Scalar>::Numbers others(index(fronts.largest_behind));
  const auto dense = [&](const Front& front) {
    const Scalar* left = factors.block.data() + front.factors;
    return DenseFront<const Scalar>{front.pivots, front.behind(), left,
                                    left + index(front.height()) * index(front.pivots), nullptr};
  };
  const int* row = factors.row_of.data();
  for (const Front& front : fronts.fronts) {
    const auto pivots = index(front.pivots);
    for (std::size_t i = 0; i < pivots; ++i) {
      own[i] = x[index(row[i])];
    }
    row += pivots;
    forward(dense(front), own.data(), others.data());
    for (std::size_t i = 0; i < pivots; ++i) {
      x[index(front.unknowns[i])] = own[i];
    }
    for (std::size_t i = pivots; i < front.unknowns.size(); ++i) {
      x[index(front.unknowns[i])] -= others[i - pivots];
    }
  }
  for (auto front = fronts.fronts.rbegin(); front != fronts.fronts.rend(); ++front) {
    const auto pivots = index(front->pivots);
    for (std::size_t i = 0; i < pivots; ++i) {
      own[i] = x[index(front->unknowns[i])];
    }
    for (std::size_t i = pivots; i < front->unknowns.size(); ++i) {
      others[i - pivots] = x[index(front->unknowns[i])];
    }
    backward(dense(*front), own.data(), others.data());
    for (std::size_t i = 0; i < pivots; ++i) {
      x[index(front->unknowns[i])] = own[i];
    }
  }
}

using Complex = std::complex<double>;
template std::vector<int> factor(const Fronts&, const std::vector<double>&, Factors<double>&);
template std::vector<int> factor(const Fronts&, const std::vector<Complex>&, Factors<Complex>&);
template void solve(const Fronts&, const Factors<double>&, std::vector<double>&);
template void solve(const Fronts&, const Factors<Complex>&, std::vector<Complex>&);

} // namespace tiltfin
