#include "post/numbers/surface_heat.hpp"

#include "mesh/index.hpp"
#include "solver/equations.hpp"
#include "solver/fluxes.hpp"

#include <optional>

namespace tiltfin {
namespace {

/// Heat through one mesh face, positive from the cell before to the cell after it.
struct CrossedFace {
  int before = -1; ///< cell, -1: outside
  int after = -1;
  SideName side = west; ///< where one of them is outside
  double heat = 0.0;    ///< all of it [W/m]
  double in_fins = 0.0; ///< the part that the metal of fins conducts [W/m]
};

template <class Visit>
void for_each_face(const Problem& problem, const State& state, const Visit& visit) {
  const int nx = problem.mesh.x.n();
  const int ny = problem.mesh.y.n();
  const auto cell = [&](int i, int j) {
    return i < 0 || j < 0 || i >= nx || j >= ny ? -1 : problem.mesh.cell(i, j);
  };
  for (int j = 0; j <= ny; ++j) {
    for (int i = 0; i <= nx; ++i) {
      if (j < ny) {
        visit(CrossedFace{cell(i - 1, j), cell(i, j), i == 0 ? west : east,
                          heat_through_x_face(problem, state, i, j),
                          fin_heat_through_x_face(problem, state, i, j)});
      }
      if (i < nx) {
        visit(CrossedFace{cell(i, j - 1), cell(i, j), j == 0 ? south : north,
                          heat_through_y_face(problem, state, i, j),
                          fin_heat_through_y_face(problem, state, i, j)});
      }
    }
  }
}

/// The solid of a cell, the side beyond the section where that is a wall; none of air.
std::optional<Body> solid_body(const Problem& problem, int cell, SideName side) {
  if (cell < 0) {
    return is_wall(problem.sides[side].kind)
               ? std::optional<Body>({BodyKind::side, static_cast<int>(side)})
               : std::nullopt;
  }
  const int region = problem.mesh.region[index(cell)];
  return region > 0 ? std::optional<Body>({BodyKind::solid, region - 1}) : std::nullopt;
}

/// The fin medium of a cell, or what solid_body finds there.
std::optional<Body> metal_body(const Problem& problem, int cell, SideName side) {
  const int medium = cell < 0 ? 0 : problem.mesh.medium_at(cell);
  return medium > 0 ? std::optional<Body>({BodyKind::medium, medium - 1})
                    : solid_body(problem, cell, side);
}

bool is_air(const Problem& problem, int cell) {
  return cell >= 0 && problem.mesh.region[index(cell)] == 0;
}

/// From solids and walls to air, and from the edges of fins to clear air.
void add_convection(const Problem& problem, const CrossedFace& face,
                    std::vector<SurfaceHeat>& pieces) {
  const double to_air = face.heat - face.in_fins;
  const auto before = solid_body(problem, face.before, face.side);
  const auto after = solid_body(problem, face.after, face.side);
  if (before && is_air(problem, face.after)) {
    pieces.push_back({*before, face.after, to_air, 0.0});
  } else if (after && is_air(problem, face.before)) {
    pieces.push_back({*after, face.before, -to_air, 0.0});
  }
  const auto is_clear = [&](int cell) { return cell >= 0 && problem.mesh.is_clear(cell); };
  const auto is_medium = [&](int cell) { return cell >= 0 && problem.mesh.medium_at(cell) > 0; };
  if (is_medium(face.before) && is_clear(face.after)) {
    pieces.push_back({*metal_body(problem, face.before, face.side), face.after, face.in_fins, 0.0});
  } else if (is_medium(face.after) && is_clear(face.before)) {
    pieces.push_back(
        {*metal_body(problem, face.after, face.side), face.before, -face.in_fins, 0.0});
  }
}

Body body_of(const RadiantZone& zone) {
  if (zone.solid >= 0) {
    return {BodyKind::solid, zone.solid};
  }
  return zone.medium >= 0 ? Body{BodyKind::medium, zone.medium}
                          : Body{BodyKind::side, static_cast<int>(zone.side)};
}

double carried_above(const Problem& problem, double flow, double from) {
  return problem.air.density * problem.air.heat_capacity * flow *
         (from - problem.air.reference_temperature);
}

} // namespace

std::vector<SurfaceHeat> surface_heat(const Problem& problem, const State& state) {
  std::vector<SurfaceHeat> pieces;
  for_each_face(problem, state,
                [&](const CrossedFace& face) { add_convection(problem, face, pieces); });
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    const MediumCell& cell = problem.media[k];
    pieces.push_back({{BodyKind::medium, cell.medium},
                      cell.cell,
                      fin_exchange(cell, problem.air, state.temperature[index(cell.cell)],
                                   state.fin_temperature[k], state.air_age[k]),
                      0.0});
  }
  // Radiation cools a surface: its share from the front is heat that the air does not get.
  const std::vector<double> radiated = radiant_heat(problem, state);
  for (std::size_t k = 0; k < radiated.size(); ++k) {
    const RadiantFace& face = problem.radiant_faces[k];
    const double share = face.is_fixed ? 1.0 : face.share_behind();
    pieces.push_back({body_of(problem.radiation->zones[index(face.zone)]), face.cell[1],
                      -(1.0 - share) * radiated[k], radiated[k]});
  }
  return pieces;
}

std::vector<ContactHeat> contact_heat(const Problem& problem, const State& state) {
  std::vector<ContactHeat> contacts;
  for_each_face(problem, state, [&](const CrossedFace& face) {
    const auto before = metal_body(problem, face.before, face.side);
    const auto after = metal_body(problem, face.after, face.side);
    if (before && after && *before != *after) {
      const bool is_of_fins = before->kind == BodyKind::medium || after->kind == BodyKind::medium;
      contacts.push_back({*before, *after, is_of_fins ? face.in_fins : face.heat});
    }
  });
  return contacts;
}

double air_heat_through_x_face(const Problem& problem, const State& state, int i, int j,
                               double from) {
  const TensorMesh& mesh = problem.mesh;
  const double flow = state.psi[index(mesh.node(i, j + 1))] - state.psi[index(mesh.node(i, j))];
  return heat_through_x_face(problem, state, i, j) - fin_heat_through_x_face(problem, state, i, j) -
         carried_above(problem, flow, from);
}

double air_heat_through_y_face(const Problem& problem, const State& state, int i, int j,
                               double from) {
  const TensorMesh& mesh = problem.mesh;
  const double flow = state.psi[index(mesh.node(i, j))] - state.psi[index(mesh.node(i + 1, j))];
  return heat_through_y_face(problem, state, i, j) - fin_heat_through_y_face(problem, state, i, j) -
         carried_above(problem, flow, from);
}

} // namespace tiltfin
