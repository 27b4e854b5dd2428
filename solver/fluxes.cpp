#include "solver/fluxes.hpp"

#include "mesh/index.hpp"
#include "solver/equations.hpp"

namespace tiltfin {

namespace {

double temperature_at(const State& state, int cell) {
  return cell < 0 ? 0.0 : state.temperature[index(cell)];
}

/// Of the fins of a medium cell, or of what is there instead.
double metal_temperature(const State& state, const HeatFace& face, std::size_t side) {
  if (face.medium[side] >= 0) {
    return state.fin_temperature[index(face.medium[side])];
  }
  return face.cell[side] < 0 ? face.outside : state.temperature[index(face.cell[side])];
}

double evaluate_fins(const State& state, const HeatFace& face) {
  return fin_conduction(face, metal_temperature(state, face, 0), metal_temperature(state, face, 1));
}

double evaluate(const Problem& problem, const State& state, const HeatFace& face) {
  return evaluate_fins(state, face) +
         face_heat<double>(face, problem.air, problem.heat_peclet,
                           {state.psi[index(face.node[0])], state.psi[index(face.node[1])],
                            temperature_at(state, face.cell[0]),
                            temperature_at(state, face.cell[1])});
}

double evaluate(const Problem& problem, const State& state, const MomentumFace& face) {
  std::array<double, 10> z{};
  for (std::size_t k = 0; k < 8; ++k) {
    z[k] = face.node[k] < 0 ? 0.0 : state.psi[index(face.node[k])];
  }
  z[8] = temperature_at(state, face.cell[0]);
  z[9] = temperature_at(state, face.cell[1]);
  return face_momentum<double>(face, problem.air, problem.blend_peclet, z);
}

} // namespace

double heat_through_x_face(const Problem& problem, const State& state, int i, int j) {
  return evaluate(problem, state, heat_face_x(problem, i, j));
}

double heat_through_y_face(const Problem& problem, const State& state, int i, int j) {
  return evaluate(problem, state, heat_face_y(problem, i, j));
}

double fin_heat_through_x_face(const Problem& problem, const State& state, int i, int j) {
  return evaluate_fins(state, heat_face_x(problem, i, j));
}

double fin_heat_through_y_face(const Problem& problem, const State& state, int i, int j) {
  return evaluate_fins(state, heat_face_y(problem, i, j));
}

std::vector<double> radiant_heat(const Problem& problem, const State& state) {
  std::vector<double> heat;
  heat.reserve(problem.radiant_faces.size());
  for (const RadiantFace& face : problem.radiant_faces) {
    const double irradiation = state.irradiation[index(face.zone)];
    const double behind = face.medium < 0 ? temperature_at(state, face.cell[0])
                                          : state.fin_temperature[index(face.medium)];
    const double emitted =
        emission<double>(face, {behind, temperature_at(state, face.cell[1]), irradiation});
    heat.push_back(face.area * (emitted - face.emissivity * irradiation));
  }
  return heat;
}

double momentum_of_x_face(const Problem& problem, const Unknowns& unknowns, const State& state,
                          int i, int j) {
  return evaluate(problem, state, momentum_face_x(problem, unknowns, i, j));
}

double momentum_of_y_face(const Problem& problem, const Unknowns& unknowns, const State& state,
                          int i, int j) {
  return evaluate(problem, state, momentum_face_y(problem, unknowns, i, j));
}

} // namespace tiltfin
