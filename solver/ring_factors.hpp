#pragma once
// View factors between coaxial rings: cylinders and flat annuli round one axis, the geometry of
// radiation in a body of revolution alone. Lengths in m.

#include "solver/view_factors.hpp"

#include <span>

namespace tiltfin {

/// How finely rings are looked out from.
struct RingSampling {
  int panels = 1; ///< of four points each, over the width of a ring of mean width; wider ones more
  int fans = 48;  ///< at least so many planes of sight at each, over half a turn
};

/// Area of the ring that a strip along x or across it sweeps round the axis; y is the distance from
/// the axis [m2].
[[nodiscard]] double ring_area(const Strip& ring);

/// View factors between the rings that `rings` sweep: strips along x or across it that look to
/// their left, y the distance from the axis. They hide each other, and between them bound every
/// space that they look into; a ring that looks inwards sees itself. ViewFactors::exchange is in
/// m2.
///
/// From a point of a ring, every plane that holds the direction of the axis shows the rings as
/// straight strips: a cylinder at one distance, an annulus at one height. What is seen in it is
/// exact, hidden parts included. The points of a ring are Gauss', and so are the planes (fans)
/// between those where a cylinder or an edge comes into sight. What the two ends of a pair find is
/// averaged, then the smallest correction closes every row (solver/closure). Throws
/// std::invalid_argument when the rows cannot be closed (the scene has a hole), or a strip lies
/// neither along x nor across it.
[[nodiscard]] ViewFactors ring_view_factors(std::span<const Strip> rings,
                                            const RingSampling& sampling = {});

} // namespace tiltfin
