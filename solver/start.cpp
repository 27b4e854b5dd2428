#include "solver/start.hpp"

#include "mesh/index.hpp"
#include "solver/scales.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tiltfin {

namespace {

/// Faces of the axis seen from its other end.
Axis turned_round(const Axis& axis) {
  const double ends = axis.faces.front() + axis.faces.back();
  Axis result;
  for (auto face = axis.faces.rbegin(); face != axis.faces.rend(); ++face) {
    result.faces.push_back(ends - *face);
  }
  return result;
}

/// Values of an nx x ny array, x fastest, in the opposite order along x or y.
template <class Value>
std::vector<Value> reversed(const std::vector<Value>& values, int nx, bool along_x) {
  const int ny = static_cast<int>(values.size()) / nx;
  std::vector<Value> result(values.size());
  for (int j = 0; j < ny; ++j) {
    for (int i = 0; i < nx; ++i) {
      const int from = along_x ? j * nx + (nx - 1 - i) : (ny - 1 - j) * nx + i;
      result[index(j * nx + i)] = values[index(from)];
    }
  }
  return result;
}

/// One psi per island, the mean of its nodes, and zero at the reference.
void level_islands(const Unknowns& unknowns, std::vector<double>& psi) {
  std::vector<double> sum(index(unknowns.n_islands), 0.0);
  std::vector<int> count(index(unknowns.n_islands), 0);
  for (std::size_t node = 0; node < psi.size(); ++node) {
    const int island = unknowns.island[node];
    if (island >= 0) {
      sum[index(island)] += psi[node];
      ++count[index(island)];
    }
  }
  double reference = 0.0;
  for (std::size_t node = 0; node < psi.size(); ++node) {
    const int island = unknowns.island[node];
    if (island >= 0) {
      psi[node] = sum[index(island)] / count[index(island)];
    }
    if (unknowns.psi[node] < 0) {
      reference = psi[node];
    }
  }
  for (double& value : psi) {
    value -= reference;
  }
}

} // namespace

State mirrored(const Problem& problem, const State& state) {
  const bool along_x = std::abs(problem.gravity_y) >= std::abs(problem.gravity_x);
  const TensorMesh& mesh = problem.mesh;
  Problem turned = problem;
  Axis& axis = along_x ? turned.mesh.x : turned.mesh.y;
  axis = turned_round(axis);
  turned.mesh.region = reversed(mesh.region, mesh.x.n(), along_x);
  State turned_state = state;
  turned_state.psi = reversed(state.psi, mesh.x.n() + 1, along_x);
  for (double& psi : turned_state.psi) {
    psi = -psi; // the curl changes sign with the hand
  }
  turned_state.temperature = reversed(state.temperature, mesh.x.n(), along_x);

  State result = interpolate(turned, turned_state, problem);
  for (int cell = 0; cell < mesh.n_cells(); ++cell) {
    if (mesh.region[index(cell)] > 0) {
      result.temperature[index(cell)] = state.temperature[index(cell)];
    }
  }
  level_islands(number_unknowns(problem), result.psi);
  result.link_heat = state.link_heat;
  return result;
}

State stirred(const Problem& problem, const State& known, int turns_x, int turns_y,
              double strength) {
  const TensorMesh& mesh = problem.mesh;
  const auto [low, high] = std::minmax_element(known.psi.begin(), known.psi.end());
  const double size = strength * 0.5 * (*high - *low);
  const auto wave = [](const Axis& axis, int face, int turns) {
    const double length = axis.faces.back() - axis.faces.front();
    return std::sin(turns * std::numbers::pi * (axis.faces[index(face)] - axis.faces.front()) /
                    length);
  };
  State state = rest_state(problem, problem.air.reference_temperature);
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      state.psi[index(j * (mesh.x.n() + 1) + i)] =
          size * wave(mesh.x, i, turns_x) * wave(mesh.y, j, turns_y);
    }
  }
  level_islands(number_unknowns(problem), state.psi);
  return state;
}

double relative_difference(const Problem& problem, const State& a, const State& b) {
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = pack(unknowns, a);
  std::vector<double> change = pack(unknowns, b);
  for (std::size_t k = 0; k < z.size(); ++k) {
    change[k] -= z[k];
  }
  return relative_change(unknowns, change,
                         scale_vector(problem, unknowns, measure_scales(problem, unknowns, z)));
}

} // namespace tiltfin
