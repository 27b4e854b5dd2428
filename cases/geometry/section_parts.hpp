#pragma once
// Pieces that sections are put together from. Lengths in m.

#include "mesh/section.hpp"

#include <string>

namespace tiltfin {

inline constexpr double nanometre = 1e-9; ///< far below any sheet, far above rounding [m]

void add_solid(Section& section, const std::string& name, const Rectangle& extent,
               double conductivity, Role role, double emissivity);

/// A rectangle about a centre line along x.
[[nodiscard]] Rectangle centred(double x0, double x1, double centre, double length);

/// "20 to 24 mm", measured from `origin`.
[[nodiscard]] std::string show_range(double a, double b, double origin);

/// Makes coordinates that differ by less than a nanometre equal, so that rounding in sums of
/// lengths leaves neither slits nor overlaps between solids that touch.
void snap_edges(Section& section);

} // namespace tiltfin
