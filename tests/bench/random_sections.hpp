#pragma once
// Sections drawn at random, to ask the solver what nobody thought of: finned coolers in boxes, in
// chimneys and in open rooms, and bundles of fins seen from their faces. All of it is invented.

#include "mesh/section.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/condition.hpp"

#include <cstdint>

namespace tiltfin::tests {

enum class Kind {
  box,     ///< fins edge-on among closed walls
  chimney, ///< fins edge-on between two open sides
  room,    ///< fins edge-on in a room that is meshed and calmed
  bundle   ///< a fin medium in one of these
};

[[nodiscard]] const char* name(Kind kind);

/// No section has more cells on its finest mesh.
inline constexpr int most_cells = 12000;

struct RandomSection {
  int number = 0;
  Kind kind = Kind::box;
  int fins = 0;     ///< 2 to 12
  double gap = 0.0; ///< between two of them, of a bundle halfway up [m]
  double tilt = 0.0;
  Section section;
  Condition condition; ///< of a section 1 m deep: its power is that per metre
  Resolution resolution;
};

/// Section `number` of `seed`, the same on every machine: lengths are whole micrometres, and
/// nothing is drawn by functions that libraries round each in its own way.
[[nodiscard]] RandomSection random_section(std::uint32_t seed, int number);

} // namespace tiltfin::tests
