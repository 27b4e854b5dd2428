#pragma once
// Heat that leaves every body through its surface: to which air, how much of it by radiation.

#include "solver/unknowns.hpp"

#include <vector>

namespace tiltfin {

enum class BodyKind { solid, medium, side };

/// A solid or a fin medium of the section, or one of its sides (by SideName).
struct Body {
  BodyKind kind = BodyKind::solid;
  int number = 0;

  friend bool operator==(const Body&, const Body&) = default;
};

/// Heat through a piece of a body's surface: a face of the mesh, a cell of a fin medium [W/m].
struct SurfaceHeat {
  Body from;
  int air = 0;             ///< cell of the air in front
  double convection = 0.0; ///< to that air
  double radiation = 0.0;  ///< net, to other surfaces
};

/// Of all solids and fin media, and of the sides that are walls. Radiation of open sides, too: it
/// is what the section receives from the room, less what the room receives. Several pieces may
/// belong to one place.
[[nodiscard]] std::vector<SurfaceHeat> surface_heat(const Problem& problem, const State& state);

/// Heat by conduction from one body into another that it touches [W/m]: a solid or fin medium into
/// another one or through a side of the section.
struct ContactHeat {
  Body from;
  Body to;
  double heat = 0.0;
};
[[nodiscard]] std::vector<ContactHeat> contact_heat(const Problem& problem, const State& state);

/// Heat that the air carries and conducts through a mesh face towards +x or +y, above `from` [K];
/// what the metal of fins conducts through it left out [W/m].
[[nodiscard]] double air_heat_through_x_face(const Problem& problem, const State& state, int i,
                                             int j, double from);
[[nodiscard]] double air_heat_through_y_face(const Problem& problem, const State& state, int i,
                                             int j, double from);

} // namespace tiltfin
