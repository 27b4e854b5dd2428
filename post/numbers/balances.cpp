#include "post/numbers/balances.hpp"

#include "post/numbers/surface_heat.hpp"
#include "solver/fluxes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

/// One face of an outer side: heat and air volume that leave through it.
struct SideFace {
  SideName side = west;
  double heat = 0.0; ///< outwards, convection counted from the air's reference temperature [W/m]
  double flow = 0.0; ///< outwards [m2/s]
};

std::vector<SideFace> side_faces(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  const int nx = mesh.x.n();
  const int ny = mesh.y.n();
  std::vector<SideFace> faces;
  for (int j = 0; j < ny; ++j) {
    const auto flow = [&](int i) {
      return state.psi[mesh.node(i, j + 1)] - state.psi[mesh.node(i, j)];
    };
    faces.push_back({west, -heat_through_x_face(problem, state, 0, j), -flow(0)});
    faces.push_back({east, heat_through_x_face(problem, state, nx, j), flow(nx)});
  }
  for (int i = 0; i < nx; ++i) {
    const auto flow = [&](int j) {
      return state.psi[mesh.node(i, j)] - state.psi[mesh.node(i + 1, j)];
    };
    faces.push_back({south, -heat_through_y_face(problem, state, i, 0), -flow(0)});
    faces.push_back({north, heat_through_y_face(problem, state, i, ny), flow(ny)});
  }
  return faces;
}

/// Radiation that passes to the outside through one face of an outer side.
struct SideRadiation {
  SideName side = west;
  double heat = 0.0; ///< outwards [W/m]
};

/// A wall that conducts to the outside passes on its share, one of given temperature and an open
/// side all that they receive; what an insulated wall receives goes into the air.
std::vector<SideRadiation> side_radiation(const Problem& problem, const State& state) {
  const std::vector<double> heat = radiant_heat(problem, state);
  std::vector<SideRadiation> faces;
  for (std::size_t k = 0; k < heat.size(); ++k) {
    const RadiantFace& face = problem.radiant_faces[k];
    const RadiantZone& zone = problem.radiation->zones[face.zone];
    if (zone.is_side()) {
      const double share = face.is_fixed ? 1.0 : face.share_behind();
      faces.push_back({zone.side, -share * heat[k]});
    }
  }
  return faces;
}

/// What bodies of one kind give to the air.
std::vector<double> heat_to_air(const Problem& problem, const State& state, BodyKind kind,
                                std::size_t count) {
  std::vector<double> heat(count, 0.0);
  for (const SurfaceHeat& piece : surface_heat(problem, state)) {
    if (piece.from.kind == kind) {
      heat[piece.from.number] += piece.convection;
    }
  }
  return heat;
}

} // namespace

std::array<double, 4> side_heat(const Problem& problem, const State& state) {
  const AirProperties& air = problem.air;
  std::array<double, 4> heat{};
  for (const SideFace& face : side_faces(problem, state)) {
    const Side& side = problem.sides[face.side];
    heat[face.side] += face.heat;
    if (side.kind == SideKind::open) {
      heat[face.side] -= air.density * air.heat_capacity * face.flow *
                         (side.temperature - air.reference_temperature);
    }
  }
  for (const SideRadiation& face : side_radiation(problem, state)) {
    heat[face.side] += face.heat;
  }
  return heat;
}

SurfaceRadiation surface_radiation(const Section& section, const Problem& problem,
                                   const State& state) {
  SurfaceRadiation sum;
  sum.solids.assign(section.solids.size(), 0.0);
  sum.media.assign(section.media.size(), 0.0);
  const std::vector<double> heat = radiant_heat(problem, state);
  for (std::size_t k = 0; k < heat.size(); ++k) {
    const RadiantZone& zone = problem.radiation->zones[problem.radiant_faces[k].zone];
    if (zone.solid >= 0) {
      sum.solids[zone.solid] += heat[k];
    } else if (zone.medium >= 0) {
      sum.media[zone.medium] += heat[k];
    } else {
      sum.sides[zone.side] -= heat[k];
    }
  }
  return sum;
}

std::vector<double> solid_heat(const Section& section, const Problem& problem, const State& state) {
  return heat_to_air(problem, state, BodyKind::solid, section.solids.size());
}

std::vector<double> medium_heat(const Section& section, const Problem& problem,
                                const State& state) {
  return heat_to_air(problem, state, BodyKind::medium, section.media.size());
}

Balance heat_balance(const Problem& problem, const State& state) {
  Balance balance;
  for (const double heat : problem.heat) {
    balance.released += heat;
  }
  balance.turnover = balance.released;
  for (const SideFace& face : side_faces(problem, state)) {
    balance.lost += face.heat;
    if (is_wall(problem.sides[face.side].kind)) {
      balance.turnover += std::max(0.0, -face.heat);
    }
  }
  for (const SideRadiation& face : side_radiation(problem, state)) {
    balance.lost += face.heat;
    balance.turnover += std::max(0.0, -face.heat);
  }
  if (balance.turnover > 0.0) {
    balance.error = std::abs(balance.released - balance.lost) / balance.turnover;
  }
  return balance;
}

double mass_error(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  double largest_flow = 0.0;
  double largest_error = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const double sw = state.psi[mesh.node(i, j)];
      const double se = state.psi[mesh.node(i + 1, j)];
      const double nw = state.psi[mesh.node(i, j + 1)];
      const double ne = state.psi[mesh.node(i + 1, j + 1)];
      const std::array<double, 4> outwards{-(nw - sw), ne - se, -(sw - se), nw - ne};
      double sum = 0.0;
      for (const double flow : outwards) {
        sum += flow;
        largest_flow = std::max(largest_flow, std::abs(flow));
      }
      largest_error = std::max(largest_error, std::abs(sum));
    }
  }
  return largest_flow > 0.0 ? largest_error / largest_flow : 0.0;
}

SolidTemperature solid_temperature(const Problem& problem, const State& state, int solid) {
  const TensorMesh& mesh = problem.mesh;
  SolidTemperature result{0.0, 0.0};
  double volume = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (mesh.region[mesh.cell(i, j)] != solid + 1) {
        continue;
      }
      const double temperature = state.temperature[mesh.cell(i, j)];
      const double own = mesh.volume(i, j);
      result.mean += temperature * own;
      result.max = volume > 0.0 ? std::max(result.max, temperature) : temperature;
      volume += own;
    }
  }
  result.mean /= volume; // NaN when the mesh has no cell of this solid
  return result;
}

} // namespace tiltfin
