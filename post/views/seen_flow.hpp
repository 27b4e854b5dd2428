#pragma once
// What the pictures show of a solved condition: less than a solution, so that it can be read back
// from the fields on disk (post/views/fields).

#include "solver/steady.hpp"

namespace tiltfin {

struct SeenFlow {
  TensorMesh mesh;
  State state;              ///< psi and temperature alone
  double gravity_x = 0.0;   ///< in the board frame [m/s2]
  double gravity_y = 0.0;   ///< [m/s2]
  double air_density = 0.0; ///< [kg/m3]
};

[[nodiscard]] inline SeenFlow seen_flow(const Solution& solution) {
  const Problem& problem = solution.problem;
  SeenFlow flow;
  flow.mesh = problem.mesh;
  flow.gravity_x = problem.gravity_x;
  flow.gravity_y = problem.gravity_y;
  flow.air_density = problem.air.density;
  flow.state.psi = solution.state.psi;
  flow.state.temperature = solution.state.temperature;
  return flow;
}

} // namespace tiltfin
