#pragma once
// Streamlines: contours of psi, joined to lines that run with the air.

#include "solver/unknowns.hpp"

#include <array>
#include <vector>

namespace tiltfin {

struct Streamline {
  double psi = 0.0;                          ///< [m2/s]
  std::vector<std::array<double, 2>> points; ///< board frame [m]
};

struct StreamlineOptions {
  double spacing = 0.0;       ///< between the levels, which lie at odd halves of it [m2/s]
  double largest_step = 1e-3; ///< between the lines of the grid that psi is contoured on [m]
  double tolerance = 0.0;     ///< largest distance by which points may be left out [m]
};

/// Largest less smallest psi on the nodes within `part` [m2/s]; 0 in still air: below 1e-9 m2/s a
/// metre of it moves micrometres per second.
[[nodiscard]] double psi_span(const TensorMesh& mesh, const State& state, const Rectangle& part);

/// Contours of psi within `seen` and up to a mesh line beyond it; none in air that is still there.
[[nodiscard]] std::vector<Streamline> make_streamlines(const TensorMesh& mesh, const State& state,
                                                       const Rectangle& seen,
                                                       const StreamlineOptions& options);

} // namespace tiltfin
