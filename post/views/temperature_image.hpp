#pragma once
// The temperature of a state as a small picture for the drawings.

#include "solver/unknowns.hpp"

#include <string>

namespace tiltfin {

/// Part of the section to show, the number of pixels each way, and the temperatures at the ends of
/// the colour scale.
struct ImageWindow {
  Rectangle seen; ///< [m]
  int n_x = 1;
  int n_y = 1;
  double coldest = 0.0; ///< [K]
  double hottest = 1.0; ///< [K]
};

/// PNG file in base64, x to the right and y up; smooth within the air and within each solid, sharp
/// between them.
[[nodiscard]] std::string temperature_png(const TensorMesh& mesh, const State& state,
                                          const ImageWindow& window);

} // namespace tiltfin
