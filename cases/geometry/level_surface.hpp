#pragma once
// A level surface of the room, desk or shelf, beside a case that is tilted: in the section, which
// keeps to the board, it is inclined, and drawn as steps. Lengths in m.

#include "cases/geometry/enclosure.hpp"
#include "mesh/section.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// Draws every level surface of the enclosure into a section with its machine: solids "<name>-1"
/// ... that give off no heat, whose edges are on the surface in the middle of each step. The
/// machine's corner that is nearest to it keeps its distance along the upright. Beyond the steps
/// the sides of the section stay as they are.
void add_level_surfaces(const Enclosure& enclosure, Section& section);

/// Length of a step in a section, where it is not flatter than 22 degrees: there steps are longer
/// instead of lower [m].
[[nodiscard]] double step_length(const Section& section);

/// What has to be said of them; nothing where there are none.
[[nodiscard]] std::vector<std::string> level_notes(const std::vector<Enclosure>& enclosures);

} // namespace tiltfin
