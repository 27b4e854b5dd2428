#pragma once
// The second section through a cooler: the plane of x and z, in which gravity lies too while the
// machine lies flat. It shows the cooler's depth where the first shows its height, as a case file
// of its own that `tiltfin solve` reads.

#include "cases/file/case.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// True when gravity lies along x alone (|y| and |z component| below 1e-9): flat-up and flat-down.
[[nodiscard]] bool lies_flat(const Orientation& orientation);

struct SecondPlane {
  Case the_case; ///< its orientations are those lying flat, its power the smallest (with those
                 ///< that are added near its limit; all where none are added)
  std::vector<std::string> notes; ///< what was taken for what the case file does not say
};

/// Of a [stack] or a [block]. Its y is out of the plane of the first section; cooler and board
/// stand in the middle of the case's depth. Throws InputError where there is none: another cooler,
/// [[part]] (where they lie out of the plane is not known), no orientation lying flat, and what
/// does not fit into the case's depth.
[[nodiscard]] SecondPlane second_plane(const Case& the_case);

} // namespace tiltfin
