#pragma once
// Which dense blocks the LU of a sparse matrix is made of, known from the pattern alone: the
// multifrontal method (Duff and Reid, ACM Trans. Math. Softw. 9 (1983) 302-325), for matrices
// numbered by nested dissection (George, SIAM J. Numer. Anal. 10 (1973) 345-363); both cited from
// memory. The pattern is taken as if it were symmetric.

#include "solver/assembly.hpp"

#include <cstddef>
#include <vector>

namespace tiltfin {

/// A dense block that eliminates its pivots and leaves an update of the rows and columns behind
/// them to its parent.
struct Front {
  std::vector<int> unknowns;  ///< pivots, then those that they touch, in order of elimination
  int pivots = 0;             ///< how many of `unknowns` are eliminated here
  int parent = -1;            ///< -1: nothing is touched
  std::vector<int> children;  ///< ascending: the order in which their updates are added
  std::vector<int> in_parent; ///< per unknown behind the pivots: its place among the parent's
  std::vector<int> entry;     ///< entries of the matrix that are first met here
  std::vector<int> place;     ///< where each goes in the block of factors
  std::size_t factors = 0;    ///< begin of that block: `height` x `pivots`, `pivots` x `behind`
  std::size_t update = 0;     ///< begin of the update, `behind` x `behind`, in the work space
  bool forks = false;         ///< its children are worth a task each; their work space is apart
  bool splits = false;        ///< its update is worth several tasks

  [[nodiscard]] int height() const { return static_cast<int>(unknowns.size()); }
  [[nodiscard]] int behind() const { return height() - pivots; }
};

struct Fronts {
  std::vector<Front> fronts;   ///< children before parents
  std::size_t factor_size = 0; ///< numbers in all blocks of factors
  std::size_t update_size = 0; ///< numbers in the work space
  int largest_pivots = 0;
  int largest_behind = 0;
};

/// The numbering of the matrix is the order of elimination, but for what may be reordered without
/// further fill. Small fronts are merged with their parents where that adds few zeros.
[[nodiscard]] Fronts make_fronts(const SparseMatrix& pattern);

/// The same, with each of `fronts` (which have parents) merged into its parent, so that their
/// pivots can be sought among more rows.
[[nodiscard]] Fronts merge_with_parents(Fronts all, const std::vector<int>& fronts,
                                        const SparseMatrix& pattern);

} // namespace tiltfin
