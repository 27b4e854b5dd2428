#pragma once
// The LU of a sparse matrix by dense fronts (see solver/fronts). Rows are exchanged inside a
// front's own pivots only, so the work is known beforehand; fronts where that does not do are
// named. Sums are taken in the order of the fronts: any number of threads gives the same bits.

#include "solver/fronts.hpp"

#include <cstddef>
#include <new>
#include <vector>

namespace tiltfin {

/// Memory that begins where the widest registers want it: dense kernels round differently at other
/// addresses, and two runs must not.
template <class T>
struct AlignedAllocator {
  using value_type = T;
  static constexpr std::align_val_t boundary{64}; // bytes

  AlignedAllocator() = default;
  template <class Other>
  AlignedAllocator(const AlignedAllocator<Other>& /*other*/) {} // NOLINT(*-explicit-*)

  [[nodiscard]] T* allocate(std::size_t n) {
    return static_cast<T*>(::operator new(n * sizeof(T), boundary));
  }
  void deallocate(T* memory, std::size_t /*n*/) { ::operator delete(memory, boundary); }
  friend bool operator==(const AlignedAllocator&, const AlignedAllocator&) { return true; }
};

/// `Scalar`: double or std::complex<double>.
template <class Scalar>
struct Factors {
  using Numbers = std::vector<Scalar, AlignedAllocator<Scalar>>;
  Numbers block;                 ///< per front L and U of its pivots over L, then U beside them
  std::vector<int> row_of;       ///< per pivot in order of elimination: the row exchanged into it
  Numbers updates;               ///< work space
  std::vector<char> front_state; ///< work space
};

/// Factors the matrix with the entries `value` at the places of the pattern that `fronts` was made
/// from; the largest of a row should be about one. Returns the fronts, ascending, whose pivots are
/// not finite, zero or so small that digits are lost: the factors are then void, and rows of their
/// parents are wanted as well (`merge_with_parents`). A front without a parent among them: the
/// matrix is singular. Called by one thread of an OpenMP team; others of it that idle help.
template <class Scalar>
[[nodiscard]] std::vector<int> factor(const Fronts& fronts, const std::vector<Scalar>& value,
                                      Factors<Scalar>& factors);

/// Overwrites the right-hand side by the solution.
template <class Scalar>
void solve(const Fronts& fronts, const Factors<Scalar>& factors, std::vector<Scalar>& x);

} // namespace tiltfin
