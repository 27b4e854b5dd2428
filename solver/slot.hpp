#pragma once
// How the gaps between fins radiate, seen from their edges.

namespace tiltfin {

/// Effective emissivity of the mouth of a slot, endless out of the plane, `aspect` times as deep as
/// wide: what it gives off through its mouth when walls and bottom have one temperature, relative
/// to a black mouth; the same share of what falls onto the mouth stays inside. Each wall is cut
/// into `pieces` of uniform radiosity; with 0 walls and bottom have one radiosity, the enclosure of
/// three surfaces in textbooks, 1 / (1 + (1/e - 1) / (2 aspect + 1)), which is too large for deep
/// slots: it lets the depth radiate as well as the rim. The 80 pieces leave an error below 2e-4
/// to an aspect of 8, 2e-3 to 40.
[[nodiscard]] double slot_emissivity(double emissivity, double aspect, int pieces = 80);

} // namespace tiltfin
