#pragma once
// The LU of a sparse matrix by dense fronts (see solver/fronts). Rows are exchanged inside a
// front's own pivots only, so the work is known beforehand; fronts where that does not do are
// named. Sums are taken in the order of the fronts: any number of threads gives the same bits.

#include "solver/fronts.hpp"

#include <Eigen/Core>

#include <vector>

namespace tiltfin {

/// `Scalar`: double or std::complex<double>. The numbers are aligned, for sums depend on where in
/// memory vector instructions begin.
template <class Scalar>
struct Factors {
  using Numbers = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;
  Numbers block;                 ///< per front L and U of its pivots over L, then U beside them
  std::vector<int> row_of;       ///< per pivot in order of elimination: the row exchanged into it
  Numbers updates;               ///< work space
  std::vector<char> front_state; ///< work space
};

/// Factors the matrix with the entries `value` at the places of the pattern that `fronts` was made
/// from; they should be of the order of one at most, row by row. Returns the fronts, ascending,
/// whose pivots are too small for what lies below them or not finite: the factors are then void,
/// and their parents' rows would be needed (`merge_with_parents`). A front without a parent among
/// them: the matrix is singular.
template <class Scalar>
[[nodiscard]] std::vector<int> factor(const Fronts& fronts, const std::vector<Scalar>& value,
                                      int threads, Factors<Scalar>& factors);

/// Threads that a factorisation may have: one for each chain of conditions that are solved side by
/// side, else as many as OpenMP gives.
[[nodiscard]] int spare_threads();

/// Overwrites `count` right-hand sides, one after the other, by the solutions.
template <class Scalar>
void solve(const Fronts& fronts, const Factors<Scalar>& factors, int count,
           std::vector<Scalar>& right_sides);

} // namespace tiltfin
