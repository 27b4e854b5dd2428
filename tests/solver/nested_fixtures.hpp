#pragma once
// What tests of conditions on nested meshes share: sections, options, and whether a solution fits
// together.

#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {

inline AirRule round_rule() {
  return {round_air(), room};
}

inline NestedOptions coarse_options(double wall_cell, double largest_cell) {
  NestedOptions options;
  options.resolution.cells_per_gap = 6;
  options.resolution.wall_cell = wall_cell;
  options.resolution.largest_cell = largest_cell;
  return options;
}

/// A warm block, 20 x 30 mm, off the middle of a 100 mm box with walls at room temperature.
inline Section warm_block() {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  for (Side& side : section.sides) {
    side = {SideKind::isothermal, 293.15, 0.0};
  }
  section.solids = {solid({0.03, 0.05, 0.02, 0.05}, 200.0, 1.0)};
  section.base = 0;
  return section;
}

inline Condition standing(double power) {
  return {0.0, -standard_gravity, power};
}

/// True when the state has finite numbers, as many as the problem has nodes, cells and links.
inline bool fits(const Problem& problem, const State& state) {
  return state.psi.size() == at(problem.mesh.n_nodes()) &&
         state.temperature.size() == at(problem.mesh.n_cells()) &&
         state.link_heat.size() == problem.links.size() && std::isfinite(largest(state.psi)) &&
         std::isfinite(largest(state.temperature));
}

inline bool fits(const Solution& solution) {
  if (solution.coarse_problem.has_value() != solution.coarse_state.has_value()) {
    return false;
  }
  return fits(solution.problem, solution.state) &&
         (!solution.coarse_problem || fits(*solution.coarse_problem, *solution.coarse_state));
}

} // namespace tiltfin::tests
