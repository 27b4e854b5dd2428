#pragma once
// Streamlines: contours of psi, joined to lines that run with the air.

#include "solver/unknowns.hpp"

#include <array>
#include <optional>
#include <vector>

namespace tiltfin {

struct Streamline {
  double psi = 0.0;                          ///< [m2/s]
  std::vector<std::array<double, 2>> points; ///< board frame [m]
};

struct StreamlineOptions {
  int n_levels = 20;              ///< spread evenly between the smallest and largest psi in `focus`
  int most_levels = 60;           ///< spread evenly between the smallest and largest psi seen
  std::optional<Rectangle> focus; ///< the part that matters most, none: all that is seen
  double largest_step = 1e-3;     ///< between the lines of the grid that psi is contoured on [m]
  double tolerance = 0.0;         ///< largest distance by which points may be left out [m]
};

/// Contours of psi on the whole mesh at evenly spaced levels between its extremes within `seen`;
/// none in still air.
struct Streamlines {
  double spacing = 0.0; ///< flow between neighbouring levels [m2/s]
  std::vector<Streamline> lines;
};
[[nodiscard]] Streamlines make_streamlines(const TensorMesh& mesh, const State& state,
                                           const Rectangle& seen, const StreamlineOptions& options);

} // namespace tiltfin
