#pragma once
// What is measured in a square cavity with a warm west and a cold east side: heat at the walls, the
// largest velocities on the two middle lines, the streamfunction, and where the maxima lie.
// Lengths in widths, velocities in a/width, the streamfunction in a (the diffusivity).

#include "solver/fluxes.hpp"

#include "validation/peak.hpp"
#include "validation/reference.hpp"

namespace tiltfin::validation {

inline std::size_t at(int k) {
  return static_cast<std::size_t>(k);
}

/// Largest |psi| by parabolas along both mesh lines through the largest node.
inline double largest_psi(const TensorMesh& mesh, const std::vector<double>& psi) {
  std::vector<double> along_x;
  std::vector<double> along_y;
  int top_i = 0;
  int top_j = 0;
  double top = 0.0;
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      const double value = std::abs(psi[at(mesh.node(i, j))]);
      if (value > top) {
        top = value;
        top_i = i;
        top_j = j;
      }
    }
  }
  for (int i = 0; i <= mesh.x.n(); ++i) {
    along_x.push_back(std::abs(psi[at(mesh.node(i, top_j))]));
  }
  for (int j = 0; j <= mesh.y.n(); ++j) {
    along_y.push_back(std::abs(psi[at(mesh.node(top_i, j))]));
  }
  return peak(mesh.x.faces, along_x).value + peak(mesh.y.faces, along_y).value - top;
}

inline Quantities cavity_quantities(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  const double width = mesh.x.length();
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  const double conductivity = problem.air.conductivity;
  const double diffusivity = problem.air.diffusivity();
  const double speed = diffusivity / width;
  const int middle_i = mesh.x.n() / 2;
  const int middle_j = mesh.y.n() / 2;
  // The middle lines must be mesh lines, on the mesh of half the cells as well.
  REQUIRE(std::abs(mesh.x.at(middle_i) - 0.5 * width) < 1e-9 * width);
  REQUIRE(std::abs(mesh.y.at(middle_j) - 0.5 * width) < 1e-9 * width);
  const std::vector<double> u = velocity_x(mesh, state);
  const std::vector<double> v = velocity_y(mesh, state);
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> u_middle;
  std::vector<double> v_middle;
  std::vector<double> wall; // local Nusselt number of the warm wall
  for (int j = 0; j < mesh.y.n(); ++j) {
    y.push_back(mesh.y.centre(j) / width);
    u_middle.push_back(u[at(problem.face_x(middle_i, j))] / speed);
    wall.push_back(heat_through_x_face(problem, state, 0, j) * width /
                   (mesh.y.width(j) * conductivity * warmer));
  }
  for (int i = 0; i < mesh.x.n(); ++i) {
    x.push_back(mesh.x.centre(i) / width);
    v_middle.push_back(v[at(problem.face_y(i, middle_j))] / speed);
  }
  const Peak u_peak = peak(y, u_middle);
  const Peak v_peak = peak(x, v_middle);
  const Peak wall_peak = peak(y, wall);
  return {{"Nu", side_heat(problem, state)[east] / (conductivity * warmer)},
          {"Nu max", wall_peak.value},
          {"y of Nu max", wall_peak.position},
          {"Nu min", wall.back()},
          {"u max on x = 1/2", u_peak.value},
          {"y of u max", u_peak.position},
          {"v max on y = 1/2", v_peak.value},
          {"x of v max", v_peak.position},
          {"psi max", largest_psi(mesh, state.psi) / diffusivity},
          {"psi centre", std::abs(state.psi[at(mesh.node(middle_i, middle_j))]) / diffusivity}};
}

/// Solves the case at each of `conditions` ("Ra <number>"), where the case itself stands at
/// `own_rayleigh`, and compares.
inline void compare_cavity(const std::string& name, double own_rayleigh,
                           const std::vector<std::string>& conditions) {
  const Case the_case = read_case_of(name);
  const Section& section = the_case.panels[0].sections.front();
  std::map<std::string, std::map<std::string, Computed>> by_condition;
  for (const std::string& condition : conditions) {
    const double gravity = the_case.gravity * std::stod(condition.substr(3)) / own_rayleigh;
    by_condition[condition] = measured(
        solve(the_case, section, named_orientation("upright").down, gravity), cavity_quantities);
  }
  compare(name, [&](const std::string& quantity, const std::string& condition) {
    return by_condition.at(condition).at(quantity);
  });
}

} // namespace tiltfin::validation
