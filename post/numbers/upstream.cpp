#include "post/numbers/upstream.hpp"

#include "mesh/index.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// A side of a cell between two of its corners, with the flow into the cell through it.
struct CellSide {
  CrossedEdge edge;
  std::array<int, 2> corner{}; ///< 0 south-west, 1 south-east, 2 north-east, 3 north-west
  double inflow = 0.0;         ///< [m2/s]
};

struct CellView {
  std::array<double, 4> psi{}; ///< at the corners
  std::array<CellSide, 4> sides{};
};

CellView view_of(const TensorMesh& mesh, const State& state, int i, int j) {
  const CrossedEdge west_edge = x_edge(mesh, state, i, j);
  const CrossedEdge east_edge = x_edge(mesh, state, i + 1, j);
  const CrossedEdge south_edge = y_edge(mesh, state, i, j);
  const CrossedEdge north_edge = y_edge(mesh, state, i, j + 1);
  return {{state.psi[index(mesh.node(i, j))], state.psi[index(mesh.node(i + 1, j))],
           state.psi[index(mesh.node(i + 1, j + 1))], state.psi[index(mesh.node(i, j + 1))]},
          {{{west_edge, {0, 3}, west_edge.flow},
            {east_edge, {1, 2}, -east_edge.flow},
            {south_edge, {0, 1}, south_edge.flow},
            {north_edge, {3, 2}, -north_edge.flow}}}};
}

bool holds(const CellView& cell, const CellSide& side, double psi) {
  const double a = cell.psi[index(side.corner[0])];
  const double b = cell.psi[index(side.corner[1])];
  return std::min(a, b) <= psi && psi <= std::max(a, b);
}

/// psi where the bilinear field of a cell has its saddle; only asked for where it has one.
double saddle(const std::array<double, 4>& psi) {
  return (psi[1] * psi[3] - psi[0] * psi[2]) / (psi[1] + psi[3] - psi[0] - psi[2]);
}

/// The side through which air of this psi came that leaves through `out`; null where there is none.
/// Where two let it in, the line goes round the corner of `out` that the saddle leaves it.
const CellSide* side_of_entry(const CellView& cell, const CrossedEdge& out, double psi) {
  const CellSide* leaving = nullptr;
  std::vector<const CellSide*> entries;
  for (const CellSide& side : cell.sides) {
    if (side.edge == out) {
      leaving = &side;
    } else if (side.inflow > 0.0 && holds(cell, side, psi)) {
      entries.push_back(&side);
    }
  }
  if (entries.size() < 2 || leaving == nullptr) {
    return entries.empty() ? nullptr : entries.front();
  }
  const bool first_is_high =
      cell.psi[index(leaving->corner[0])] > cell.psi[index(leaving->corner[1])];
  const bool goes_round_high = psi > saddle(cell.psi);
  const int corner = leaving->corner[first_is_high == goes_round_high ? 0 : 1];
  for (const CellSide* side : entries) {
    if (side->corner[0] == corner || side->corner[1] == corner) {
      return side;
    }
  }
  return entries.front();
}

/// Where psi lies on a face, on which it is linear.
UpstreamPoint point_on(const TensorMesh& mesh, const State& state, const CrossedEdge& edge,
                       double psi) {
  const double low = state.psi[index(mesh.node(edge.i, edge.j))];
  const double high =
      state.psi[index(edge.is_x ? mesh.node(edge.i, edge.j + 1) : mesh.node(edge.i + 1, edge.j))];
  const double share = high == low ? 0.5 : (psi - low) / (high - low);
  UpstreamPoint point{.edge = edge, .x = mesh.x.at(edge.i), .y = mesh.y.at(edge.j)};
  (edge.is_x ? point.y : point.x) +=
      share * (edge.is_x ? mesh.y.width(edge.j) : mesh.x.width(edge.i));
  return point;
}

} // namespace

int nearest_face(const Axis& axis, double position) {
  const auto above = std::lower_bound(axis.faces.begin(), axis.faces.end(), position);
  if (above == axis.faces.begin()) {
    return 0;
  }
  const int above_it = static_cast<int>(above - axis.faces.begin());
  if (above == axis.faces.end()) {
    return axis.n();
  }
  return position - axis.at(above_it - 1) < axis.at(above_it) - position ? above_it - 1 : above_it;
}

CrossedEdge x_edge(const TensorMesh& mesh, const State& state, int i, int j) {
  return {true, i, j, state.psi[index(mesh.node(i, j + 1))] - state.psi[index(mesh.node(i, j))]};
}

CrossedEdge y_edge(const TensorMesh& mesh, const State& state, int i, int j) {
  return {false, i, j, state.psi[index(mesh.node(i, j))] - state.psi[index(mesh.node(i + 1, j))]};
}

double edge_temperature(const Problem& problem, const State& state, const CrossedEdge& edge) {
  const TensorMesh& mesh = problem.mesh;
  const Axis& axis = edge.is_x ? mesh.x : mesh.y;
  const int face = edge.is_x ? edge.i : edge.j;
  const auto cell = [&](int place) {
    return state
        .temperature[index(edge.is_x ? mesh.cell(place, edge.j) : mesh.cell(edge.i, place))];
  };
  if (face == 0) {
    return edge.flow > 0.0 ? problem.sides[edge.is_x ? west : south].temperature : cell(0);
  }
  if (face == axis.n()) {
    return edge.flow < 0.0 ? problem.sides[edge.is_x ? east : north].temperature : cell(face - 1);
  }
  const double a = axis.width(face - 1);
  const double b = axis.width(face);
  return (cell(face - 1) * b + cell(face) * a) / (a + b);
}

std::optional<UpstreamPoint> upstream_of(const TensorMesh& mesh, const State& state,
                                         const CrossedEdge& start,
                                         const std::function<bool(const UpstreamPoint&)>& is_end) {
  const double low = state.psi[index(mesh.node(start.i, start.j))];
  const double psi = low + 0.5 * (start.is_x ? start.flow : -start.flow);
  UpstreamPoint point = point_on(mesh, state, start, psi);
  for (int step = 0; step < 4 * mesh.n_cells(); ++step) {
    if (is_end(point)) {
      return point;
    }
    const CrossedEdge& edge = point.edge;
    // The cell that the air comes from.
    const int i = edge.i - (edge.is_x && edge.flow > 0.0 ? 1 : 0);
    const int j = edge.j - (!edge.is_x && edge.flow > 0.0 ? 1 : 0);
    if (i < 0 || j < 0 || i >= mesh.x.n() || j >= mesh.y.n()) {
      return point;
    }
    const CellView cell = view_of(mesh, state, i, j);
    const CellSide* entry = side_of_entry(cell, edge, psi);
    if (entry == nullptr) {
      return std::nullopt; // lost to rounding where the air all but stands
    }
    UpstreamPoint next = point_on(mesh, state, entry->edge, psi);
    next.path = point.path + std::hypot(next.x - point.x, next.y - point.y);
    point = next;
  }
  return std::nullopt;
}

} // namespace tiltfin
