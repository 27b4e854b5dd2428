#pragma once
// Which sections stand for a cooler in an orientation: one, or for a ring that stands upright a fan
// of them, because a fin at an angle from the vertical feels only that angle's cosine of gravity.

#include "cases/geometry/cooler.hpp"
#include "solver/condition.hpp"

#include <vector>

namespace tiltfin {

/// `n` sections from 0 to 90 degrees, by angle, at the points of Gauss and Legendre and with their
/// weights; one alone stands in the vertical plane.
[[nodiscard]] std::vector<FanPart> fan_of_sections(int n);

/// Those of a cooler; one for all but a ring whose axis gravity has a part across. Without powers.
[[nodiscard]] std::vector<FanPart> fan_of(const Cooler& cooler, const Orientation& orientation);

} // namespace tiltfin
