#include "solver/unknowns.hpp"

#include "mesh/index.hpp"
#include "solver/ordering.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace tiltfin {

namespace {

/// Disjoint sets of nodes.
class Sets {
public:
  explicit Sets(int n) : parent_(index(n)) { std::iota(parent_.begin(), parent_.end(), 0); }
  int root(int k) {
    while (parent_[index(k)] != k) {
      parent_[index(k)] = parent_[index(parent_[index(k)])];
      k = parent_[index(k)];
    }
    return k;
  }
  void unite(int a, int b) { parent_[index(root(a))] = root(b); }

private:
  std::vector<int> parent_;
};

/// Nodes of an outer side in order.
std::vector<int> side_nodes(const TensorMesh& mesh, int side) {
  const int nx = mesh.x.n();
  const int ny = mesh.y.n();
  std::vector<int> nodes;
  if (side == west || side == east) {
    for (int j = 0; j <= ny; ++j) {
      nodes.push_back(mesh.node(side == west ? 0 : nx, j));
    }
  } else {
    for (int i = 0; i <= nx; ++i) {
      nodes.push_back(mesh.node(i, side == south ? 0 : ny));
    }
  }
  return nodes;
}

/// Visits every closed stretch of outer side: two neighbouring nodes and whether it is no-slip.
template <class Visit>
void for_each_closed_edge(const Problem& problem, Visit visit) {
  for (int side = 0; side < 4; ++side) {
    const SideKind kind = problem.sides[index(side)].kind;
    if (!is_wall(kind)) {
      continue;
    }
    const std::vector<int> nodes = side_nodes(problem.mesh, side);
    for (std::size_t k = 1; k < nodes.size(); ++k) {
      visit(nodes[k - 1], nodes[k], kind != SideKind::symmetry);
    }
  }
}

void find_islands(const Problem& problem, Unknowns& unknowns) {
  const TensorMesh& mesh = problem.mesh;
  Sets sets(mesh.n_nodes());
  std::vector<char> closed(index(mesh.n_nodes()), 0);
  unknowns.no_slip.assign(index(mesh.n_nodes()), 0);
  const auto unite = [&](int a, int b, bool no_slip) {
    sets.unite(a, b);
    for (const int node : {a, b}) {
      closed[index(node)] = 1;
      if (no_slip) {
        unknowns.no_slip[index(node)] = 1;
      }
    }
  };
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (!mesh.is_air(i, j)) {
        const int corner = mesh.node(i, j);
        unite(corner, mesh.node(i + 1, j), true);
        unite(corner, mesh.node(i, j + 1), true);
        unite(corner, mesh.node(i + 1, j + 1), true);
      }
    }
  }
  for_each_closed_edge(problem, unite);

  unknowns.island.assign(index(mesh.n_nodes()), -1);
  std::vector<int> number(index(mesh.n_nodes()), -1);
  for (int node = 0; node < mesh.n_nodes(); ++node) {
    if (closed[index(node)] == 0) {
      continue;
    }
    int& island = number[index(sets.root(node))];
    if (island < 0) {
      island = unknowns.n_islands++;
    }
    unknowns.island[index(node)] = island;
  }
}

/// The island with the most nodes.
int largest_island(const Unknowns& unknowns) {
  std::vector<int> size(index(unknowns.n_islands), 0);
  for (const int island : unknowns.island) {
    if (island >= 0) {
      ++size[index(island)];
    }
  }
  if (size.empty()) {
    return -1;
  }
  return static_cast<int>(std::max_element(size.begin(), size.end()) - size.begin());
}

/// Numbers the free nodes of a cell: its lower left one, and at the last column or row the others.
void number_nodes_of_cell(const TensorMesh& mesh, int cell, Unknowns& unknowns) {
  const int i = cell % mesh.x.n();
  const int j = cell / mesh.x.n();
  const int last_i = i + 1 == mesh.x.n() ? i + 1 : i;
  const int last_j = j + 1 == mesh.y.n() ? j + 1 : j;
  for (int b = j; b <= last_j; ++b) {
    for (int a = i; a <= last_i; ++a) {
      const int node = mesh.node(a, b);
      const bool reference = unknowns.n_islands == 0 && node == 0;
      if (unknowns.island[index(node)] < 0 && !reference) {
        unknowns.psi[index(node)] = unknowns.n++;
      }
    }
  }
}

/// Position of `x` between cell centres (or faces): left index and weight of the right one.
struct Place {
  int left = 0;
  int right = 0;
  double weight = 0.0;
};

template <class At>
Place place(int n, double x, At at) {
  int left = 0;
  int right = n - 1;
  if (x <= at(0)) {
    return {0, 0, 0.0};
  }
  if (x >= at(right)) {
    return {right, right, 0.0};
  }
  while (right - left > 1) {
    const int middle = (left + right) / 2;
    (at(middle) <= x ? left : right) = middle;
  }
  return {left, right, (x - at(left)) / (at(right) - at(left))};
}

/// What a cell holds: its solid, clear air or a fin medium.
int material_of(const TensorMesh& mesh, int cell) {
  return mesh.region[index(cell)] - mesh.medium_at(cell);
}

/// Bilinear among the cells that hold `material`; NaN when there is none.
template <class Value>
double interpolate_cell(const Problem& from, const Place& px, const Place& py, int material,
                        Value value) {
  // Only cells of the same solid (or of air) take part: no blurring across surfaces.
  double sum = 0.0;
  double weights = 0.0;
  const auto add = [&](int i, int j, double weight) {
    const int cell = from.mesh.cell(i, j);
    if (weight > 0.0 && material_of(from.mesh, cell) == material) {
      sum += weight * value(cell);
      weights += weight;
    }
  };
  add(px.left, py.left, (1.0 - px.weight) * (1.0 - py.weight));
  add(px.right, py.left, px.weight * (1.0 - py.weight));
  add(px.left, py.right, (1.0 - px.weight) * py.weight);
  add(px.right, py.right, px.weight * py.weight);
  return weights > 0.0 ? sum / weights : std::numeric_limits<double>::quiet_NaN();
}

/// The zone of the same surface, with the same outlook, whose middle is nearest.
int nearest_zone(const RadiantZones& zones, const RadiantZone& wanted) {
  const auto penalty = [&wanted](const RadiantZone& zone) {
    const Strip& a = zone.strip;
    const Strip& b = wanted.strip;
    const double apart = std::hypot(a.x0 + a.x1 - b.x0 - b.x1, a.y0 + a.y1 - b.y0 - b.y1);
    const bool is_same = zone.solid == wanted.solid && zone.medium == wanted.medium &&
                         zone.side == wanted.side &&
                         (a.x1 - a.x0) * (b.x1 - b.x0) + (a.y1 - a.y0) * (b.y1 - b.y0) > 0.0;
    return is_same ? apart : std::numeric_limits<double>::max();
  };
  const auto nearest = std::min_element(
      zones.zones.begin(), zones.zones.end(),
      [&](const RadiantZone& a, const RadiantZone& b) { return penalty(a) < penalty(b); });
  return static_cast<int>(nearest - zones.zones.begin());
}

} // namespace

Unknowns number_unknowns(const Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  Unknowns unknowns;
  find_islands(problem, unknowns);
  unknowns.reference_island = largest_island(unknowns);
  unknowns.psi.assign(index(mesh.n_nodes()), -1);
  unknowns.temperature.assign(index(mesh.n_cells()), -1);
  unknowns.fin_temperature.assign(problem.media.size(), -1);
  unknowns.air_age.assign(problem.media.size(), -1);
  for (const auto [cell, is_node] : dissection_order(mesh)) {
    if (is_node) {
      number_nodes_of_cell(mesh, cell, unknowns);
      continue;
    }
    unknowns.temperature[index(cell)] = unknowns.n++;
    const int medium = problem.medium_cell[index(cell)];
    if (medium >= 0) {
      unknowns.fin_temperature[index(medium)] = unknowns.n++;
      unknowns.air_age[index(medium)] = unknowns.n++;
    }
  }
  std::vector<int> of_island(index(unknowns.n_islands), -1);
  for (int k = 0; k < unknowns.n_islands; ++k) {
    if (k != unknowns.reference_island) {
      of_island[index(k)] = unknowns.n++;
    }
  }
  for (int node = 0; node < mesh.n_nodes(); ++node) {
    const int island = unknowns.island[index(node)];
    if (island >= 0) {
      unknowns.psi[index(node)] = of_island[index(island)];
    }
  }
  for (std::size_t k = 0; k < problem.links.size(); ++k) {
    unknowns.link.push_back(unknowns.n++);
  }
  for (int k = 0; k < problem.radiation->n(); ++k) {
    unknowns.radiosity.push_back(unknowns.n++);
  }
  for (int k = 0; k < problem.radiation->n(); ++k) {
    unknowns.irradiation.push_back(unknowns.n++);
  }
  return unknowns;
}

std::vector<double> pack(const Unknowns& unknowns, const State& state) {
  std::vector<double> z(index(unknowns.n), 0.0);
  // psi is fixed up to a constant: the reference is where it vanishes.
  double reference = 0.0;
  for (std::size_t node = 0; node < unknowns.psi.size(); ++node) {
    if (unknowns.psi[node] < 0) {
      reference = state.psi[node];
      break;
    }
  }
  for (std::size_t node = 0; node < unknowns.psi.size(); ++node) {
    if (unknowns.psi[node] >= 0) {
      z[index(unknowns.psi[node])] = state.psi[node] - reference;
    }
  }
  for (std::size_t cell = 0; cell < unknowns.temperature.size(); ++cell) {
    z[index(unknowns.temperature[cell])] = state.temperature[cell];
  }
  for (std::size_t k = 0; k < unknowns.link.size(); ++k) {
    z[index(unknowns.link[k])] = state.link_heat[k];
  }
  for (std::size_t k = 0; k < unknowns.fin_temperature.size(); ++k) {
    z[index(unknowns.fin_temperature[k])] = state.fin_temperature[k];
    z[index(unknowns.air_age[k])] = state.air_age[k];
  }
  for (std::size_t k = 0; k < unknowns.radiosity.size(); ++k) {
    z[index(unknowns.radiosity[k])] = state.radiosity[k];
    z[index(unknowns.irradiation[k])] = state.irradiation[k];
  }
  return z;
}

State unpack(const Unknowns& unknowns, const std::vector<double>& z) {
  State state;
  state.psi.reserve(unknowns.psi.size());
  for (const int k : unknowns.psi) {
    state.psi.push_back(k < 0 ? 0.0 : z[index(k)]);
  }
  state.temperature.reserve(unknowns.temperature.size());
  for (const int k : unknowns.temperature) {
    state.temperature.push_back(z[index(k)]);
  }
  for (const int k : unknowns.link) {
    state.link_heat.push_back(z[index(k)]);
  }
  for (std::size_t k = 0; k < unknowns.fin_temperature.size(); ++k) {
    state.fin_temperature.push_back(z[index(unknowns.fin_temperature[k])]);
    state.air_age.push_back(z[index(unknowns.air_age[k])]);
  }
  for (std::size_t k = 0; k < unknowns.radiosity.size(); ++k) {
    state.radiosity.push_back(z[index(unknowns.radiosity[k])]);
    state.irradiation.push_back(z[index(unknowns.irradiation[k])]);
  }
  return state;
}

State rest_state(const Problem& problem, double temperature) {
  State state;
  state.psi.assign(index(problem.mesh.n_nodes()), 0.0);
  state.temperature.assign(index(problem.mesh.n_cells()), temperature);
  state.link_heat.assign(problem.links.size(), 0.0);
  state.fin_temperature.assign(problem.media.size(), temperature);
  state.air_age.assign(problem.media.size(), 0.0);
  const double black = stefan_boltzmann * std::pow(temperature, 4);
  state.radiosity.assign(problem.radiation->zones.size(), black);
  state.irradiation = state.radiosity;
  return state;
}

State interpolate(const Problem& from, const State& state, const Problem& to) {
  const TensorMesh& source = from.mesh;
  const TensorMesh& target = to.mesh;
  State result = rest_state(to, 0.0);
  result.link_heat = state.link_heat;
  const RadiantZones& zones = *to.radiation;
  for (int k = 0; k < zones.n(); ++k) {
    const auto nearest = index(nearest_zone(*from.radiation, zones.zones[index(k)]));
    result.radiosity[index(k)] = state.radiosity[nearest];
    result.irradiation[index(k)] = state.irradiation[nearest];
  }
  std::vector<Place> node_x;
  std::vector<Place> cell_x;
  for (int i = 0; i <= target.x.n(); ++i) {
    node_x.push_back(
        place(source.x.n() + 1, target.x.at(i), [&](int k) { return source.x.at(k); }));
    if (i < target.x.n()) {
      cell_x.push_back(
          place(source.x.n(), target.x.centre(i), [&](int k) { return source.x.centre(k); }));
    }
  }
  for (int j = 0; j <= target.y.n(); ++j) {
    const Place py = place(source.y.n() + 1, target.y.at(j), [&](int k) { return source.y.at(k); });
    for (int i = 0; i <= target.x.n(); ++i) {
      const Place& px = node_x[index(i)];
      const auto psi = [&](int a, int b) { return state.psi[index(source.node(a, b))]; };
      const double low =
          psi(px.left, py.left) + px.weight * (psi(px.right, py.left) - psi(px.left, py.left));
      const double high =
          psi(px.left, py.right) + px.weight * (psi(px.right, py.right) - psi(px.left, py.right));
      result.psi[index(target.node(i, j))] = low + py.weight * (high - low);
    }
  }
  for (int j = 0; j < target.y.n(); ++j) {
    const Place py =
        place(source.y.n(), target.y.centre(j), [&](int k) { return source.y.centre(k); });
    for (int i = 0; i < target.x.n(); ++i) {
      const int cell = target.cell(i, j);
      const int nearest =
          source.cell(cell_at(source.x, target.x.centre(i)), cell_at(source.y, target.y.centre(j)));
      const auto take = [&](const std::vector<double>& values, auto place_of) {
        const auto at = [&](int c) { return values[index(place_of(c))]; };
        const double value =
            interpolate_cell(from, cell_x[index(i)], py, material_of(target, cell), at);
        return std::isnan(value) ? at(nearest) : value;
      };
      result.temperature[index(cell)] = take(state.temperature, [](int c) { return c; });
      const int medium = to.medium_cell[index(cell)];
      if (medium >= 0) {
        const auto own = [&from](int c) { return from.medium_cell[index(c)]; };
        result.fin_temperature[index(medium)] = take(state.fin_temperature, own);
        result.air_age[index(medium)] = take(state.air_age, own);
      }
    }
  }
  return result;
}

std::vector<double> velocity_x(const TensorMesh& mesh, const State& state) {
  std::vector<double> u;
  u.reserve(index((mesh.x.n() + 1) * mesh.y.n()));
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      u.push_back((state.psi[index(mesh.node(i, j + 1))] - state.psi[index(mesh.node(i, j))]) /
                  mesh.x_face_area(j));
    }
  }
  return u;
}

std::vector<double> velocity_y(const TensorMesh& mesh, const State& state) {
  std::vector<double> v;
  v.reserve(index(mesh.x.n() * (mesh.y.n() + 1)));
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const double flow = state.psi[index(mesh.node(i, j))] - state.psi[index(mesh.node(i + 1, j))];
      const double area = mesh.y_face_area(i, j);
      v.push_back(area > 0.0 ? flow / area : 0.0); // none through the axis
    }
  }
  return v;
}

} // namespace tiltfin
