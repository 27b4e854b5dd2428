#pragma once
// A ring that lies flat, as a body of revolution: where gravity lies along the core's axis, the air
// round it is the same all round, and the section is the half of a plane through the axis, turned
// about it.

#include "cases/geometry/housing.hpp"
#include "cases/geometry/ring.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// Why a ring keeps its plane section even where gravity lies along its axis; empty: it does not.
[[nodiscard]] std::string keeps_plane_section(const Ring& ring, const Board& board,
                                              const Housing& housing);

/// Whether gravity lies along the axis of the core.
[[nodiscard]] bool is_along_core(const Orientation& orientation);

/// The half section. What is rectangular across the axis (case, board, chip) becomes the disc of
/// the same area; core, base and fins are what they are: solids board, chip, base (core included)
/// and the medium "fins". The case's narrow walls become one round wall; what is off or perforated
/// of them are bands all round, in turn with sheet, that have together the area of those walls.
/// For an enclosure and walls that keeps_plane_section lets pass. Throws DoesNotFit "found ...,
/// allowed ...".
[[nodiscard]] Section round_section_of(const Ring& ring, const Board& board,
                                       const Enclosure& enclosure, const Walls& walls);

/// Which section answers for which orientation, and how it is made; nothing where none of them lies
/// along the axis.
[[nodiscard]] std::vector<std::string> round_notes(const Ring& ring, const Board& board,
                                                   const Housing& housing,
                                                   std::span<const Orientation> orientations);

} // namespace tiltfin
