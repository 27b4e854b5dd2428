#pragma once
// A condition of a body that a fan of sections stands for (cases/geometry/fan): each section is
// solved with the share of the power with which all bases are equally warm.

#include "mesh/section.hpp"
#include "solver/steady.hpp"

#include <functional>
#include <vector>

namespace tiltfin {

/// Solves one section of a fan, from `from` (null: from rest); `is_near`: that is the same section
/// at another power, or its neighbour in the fan, else any state of the caller's.
using SolvePart = std::function<Solution(const FanPart& part, const Solution* from, bool is_near)>;

/// What `solve` makes of the sections `parts` (two or more, by angle) when together they release
/// `power` [W]: the first with the others in it. `from`: a solution of the same fan, of another or
/// of one section, from which each starts; null: from rest. Rises are above `room_temperature` [K].
///
/// Newton's method on the powers: a section's rise is taken to grow with the power to 0.75 at
/// first, then as between the last two solves; it ends when rises are within 1 % of each other,
/// for the common rise (post/numbers/fan_rise) errs by the square of that. A mean over time gets
/// one correction. Where a section finds nothing, its status is that of all.
[[nodiscard]] Solution solve_fan(const Section& section, std::vector<FanPart> parts, double power,
                                 double room_temperature, const SolvePart& solve,
                                 const Solution* from);

/// The section of a fan that stands where `part` does, else the one nearest to the vertical plane.
[[nodiscard]] const Solution& counterpart(const Solution& fan, const FanPart& part);

/// What `change` makes of each section of a fan, or of the only one, with the report of all: times
/// and steps add up, the rest is that of the worst section. Sections are handed over with their own
/// reports. When one is stopped, so are all.
[[nodiscard]] Solution for_each_part(const Solution& solution,
                                     const std::function<Solution(const Solution&)>& change);

/// Takes the coarse mesh out of all sections.
void drop_coarse(Solution& solution);

} // namespace tiltfin
