#include "post/numbers/flows.hpp"

#include "post/fits/estimate.hpp"
#include "post/numbers/upstream.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// Air through one mesh face of a line.
struct FaceFlow {
  double flow = 0.0;        ///< towards +x or +y [m2/s]
  double temperature = 0.0; ///< at the face [K]
  double area = 0.0;        ///< per metre of depth [m]
};

FaceFlow face_flow(const Problem& problem, const State& state, const CrossedEdge& edge,
                   double area) {
  return {edge.flow, edge_temperature(problem, state, edge), area};
}

/// Faces of the vertical mesh line i between nodes j0 and j1, flow positive towards +x.
std::vector<FaceFlow> across_x_line(const Problem& problem, const State& state, int i, int j0,
                                    int j1) {
  const TensorMesh& mesh = problem.mesh;
  std::vector<FaceFlow> faces;
  for (int j = j0; j < j1; ++j) {
    faces.push_back(face_flow(problem, state, x_edge(mesh, state, i, j), mesh.x_face_area(j)));
  }
  return faces;
}

/// Faces of the horizontal mesh line j between nodes i0 and i1, flow positive towards +y.
std::vector<FaceFlow> across_y_line(const Problem& problem, const State& state, int j, int i0,
                                    int i1) {
  const TensorMesh& mesh = problem.mesh;
  std::vector<FaceFlow> faces;
  for (int i = i0; i < i1; ++i) {
    faces.push_back(face_flow(problem, state, y_edge(mesh, state, i, j), mesh.y_face_area(i, j)));
  }
  return faces;
}

/// Sums over faces with positive and with negative flow.
struct Exchange {
  double forward = 0.0;      ///< [m2/s]
  double backward = 0.0;     ///< as a positive number [m2/s]
  double forward_sum = 0.0;  ///< flow times temperature [K m2/s]
  double backward_sum = 0.0; ///< [K m2/s]

  [[nodiscard]] double forward_temperature() const { return forward_sum / forward; }
  [[nodiscard]] double backward_temperature() const { return backward_sum / backward; }
};

Exchange add_up(const std::vector<FaceFlow>& faces) {
  Exchange sum;
  for (const FaceFlow& face : faces) {
    if (face.flow > 0.0) {
      sum.forward += face.flow;
      sum.forward_sum += face.flow * face.temperature;
    } else {
      sum.backward -= face.flow;
      sum.backward_sum -= face.flow * face.temperature;
    }
  }
  return sum;
}

std::vector<FaceFlow> middle_of(const Gap& gap, const Problem& problem, const State& state) {
  const Axis& x = problem.mesh.x;
  const Axis& y = problem.mesh.y;
  const Rectangle& air = gap.extent;
  if (gap.across_x) {
    return across_y_line(problem, state, nearest_face(y, 0.5 * (air.y0 + air.y1)),
                         nearest_face(x, air.x0), nearest_face(x, air.x1));
  }
  return across_x_line(problem, state, nearest_face(x, 0.5 * (air.x0 + air.x1)),
                       nearest_face(y, air.y0), nearest_face(y, air.y1));
}

/// Half of the flow either way through both ends of a gap, through all four edges of a medium.
double inflow_of(const Gap& gap, bool is_medium, const Problem& problem, const State& state) {
  const Axis& x = problem.mesh.x;
  const Axis& y = problem.mesh.y;
  const Rectangle& air = gap.extent;
  double sum = 0.0;
  const auto take = [&](const std::vector<FaceFlow>& faces) {
    const Exchange end = add_up(faces);
    sum += 0.5 * (end.forward + end.backward);
  };
  if (gap.across_x || is_medium) {
    for (const double end : {air.y0, air.y1}) {
      take(across_y_line(problem, state, nearest_face(y, end), nearest_face(x, air.x0),
                         nearest_face(x, air.x1)));
    }
  }
  if (!gap.across_x || is_medium) {
    for (const double end : {air.x0, air.x1}) {
      take(across_x_line(problem, state, nearest_face(x, end), nearest_face(y, air.y0),
                         nearest_face(y, air.y1)));
    }
  }
  return sum;
}

/// 1 where the axis of a gap (y when `along_y`) points against gravity, -1 where it points down; of
/// a level gap to the right or left of a picture with gravity down the page.
double sense_of(const Problem& problem, bool along_y) {
  const double up_x = -problem.gravity_x;
  const double up_y = -problem.gravity_y;
  const double up = along_y ? up_y : up_x;
  const double right = along_y ? -up_x : up_y;
  constexpr double level = 1e-9; // as orientations are told apart (solver/condition)
  return (std::abs(up) > level * std::hypot(up_x, up_y) ? up : right) < 0.0 ? -1.0 : 1.0;
}

/// Weighted by the flow either way; by area in still air.
double mean_temperature(const std::vector<FaceFlow>& faces, const Exchange& sum) {
  if (sum.forward + sum.backward > 0.0) {
    return (sum.forward_sum + sum.backward_sum) / (sum.forward + sum.backward);
  }
  double area = 0.0;
  double total = 0.0;
  for (const FaceFlow& face : faces) {
    area += face.area;
    total += face.area * face.temperature;
  }
  return total / area;
}

std::string obstacle_name(const Section& section, int solid) {
  return solid < 0 ? "side" : section.solids[solid].name;
}

OpeningFlow opening_flow(const std::string& name, const Exchange& sum, bool forward_is_in,
                         double density_depth) {
  OpeningFlow flow;
  flow.name = name;
  flow.in_kg_per_s.value = density_depth * (forward_is_in ? sum.forward : sum.backward);
  flow.out_kg_per_s.value = density_depth * (forward_is_in ? sum.backward : sum.forward);
  const double forward = sum.forward_temperature() - zero_celsius;
  const double backward = sum.backward_temperature() - zero_celsius;
  flow.in_temperature_c = forward_is_in ? forward : backward;
  flow.out_temperature_c = forward_is_in ? backward : forward;
  return flow;
}

/// A fin gap, or a medium seen along y (its middle line runs along x) or along x.
struct Passage {
  std::string name;
  Gap gap;
};

std::vector<Passage> passages(const Section& section) {
  std::vector<Passage> result;
  for (const Gap& gap : fin_gaps(section)) {
    result.push_back(
        {obstacle_name(section, gap.solid_a) + " | " + obstacle_name(section, gap.solid_b), gap});
  }
  for (const FinMedium& medium : section.media) {
    result.push_back({medium.name + " along y", {-1, -1, medium.extent, true}});
    result.push_back({medium.name + " along x", {-1, -1, medium.extent, false}});
  }
  return result;
}

} // namespace

std::vector<GapFlow> gap_flows(const Section& section, const Problem& problem, const State& state) {
  const double density_depth = problem.air.density * section.depth;
  std::vector<GapFlow> flows;
  for (const auto& [name, gap] : passages(section)) {
    const std::vector<FaceFlow> faces = middle_of(gap, problem, state);
    const Exchange sum = add_up(faces);
    const double larger = std::max(sum.forward, sum.backward);
    const double net = sum.forward - sum.backward;
    GapFlow flow;
    flow.name = name;
    flow.net_flow_kg_per_s.value = density_depth * (gap.across_x ? net : -net);
    flow.up_flow_g_per_s.value =
        grams_per_kg * density_depth * net * sense_of(problem, gap.across_x);
    const bool is_medium = gap.solid_a < 0 && gap.solid_b < 0;
    flow.in_flow_g_per_s.value =
        grams_per_kg * density_depth * inflow_of(gap, is_medium, problem, state);
    flow.recirculation = larger > 0.0 ? std::min(sum.forward, sum.backward) / larger : 0.0;
    flow.mean_temperature_c = mean_temperature(faces, sum) - zero_celsius;
    flows.push_back(flow);
  }
  return flows;
}

double gap_recirculation(const Section& section, const Problem& problem, const State& state) {
  const std::vector<Passage> gaps = passages(section);
  if (gaps.empty()) {
    return nan;
  }
  double smaller = 0.0;
  double larger = 0.0;
  for (const Passage& passage : gaps) {
    const Exchange sum = add_up(middle_of(passage.gap, problem, state));
    smaller += std::min(sum.forward, sum.backward);
    larger += std::max(sum.forward, sum.backward);
  }
  return larger > 0.0 ? smaller / larger : 0.0;
}

std::vector<OpeningFlow> opening_flows(const Section& section, const Problem& problem,
                                       const State& state) {
  const Axis& x = problem.mesh.x;
  const Axis& y = problem.mesh.y;
  const double density_depth = problem.air.density * section.depth;
  const Rectangle inside =
      section.machine.value_or(Rectangle{0.0, section.width, 0.0, section.height});
  std::vector<OpeningFlow> flows;
  for (const Opening& opening : section.openings) {
    const Rectangle& line = opening.line;
    const bool is_vertical = line.width() <= line.height();
    const Exchange sum = add_up(
        is_vertical ? across_x_line(problem, state, nearest_face(x, 0.5 * (line.x0 + line.x1)),
                                    nearest_face(y, line.y0), nearest_face(y, line.y1))
                    : across_y_line(problem, state, nearest_face(y, 0.5 * (line.y0 + line.y1)),
                                    nearest_face(x, line.x0), nearest_face(x, line.x1)));
    const bool forward_is_in = is_vertical ? line.x0 + line.x1 <= inside.x0 + inside.x1
                                           : line.y0 + line.y1 <= inside.y0 + inside.y1;
    flows.push_back(opening_flow(opening.name, sum, forward_is_in, density_depth));
  }
  for (const SideName side : {west, east, south, north}) {
    if (is_wall(problem.sides[side].kind)) {
      continue;
    }
    const bool is_vertical = side == west || side == east;
    const Exchange sum =
        add_up(is_vertical ? across_x_line(problem, state, side == west ? 0 : x.n(), 0, y.n())
                           : across_y_line(problem, state, side == south ? 0 : y.n(), 0, x.n()));
    flows.push_back(opening_flow(std::string(side_names[side]) + " side", sum,
                                 side == west || side == south, density_depth));
  }
  return flows;
}

CellVelocity cell_velocity(const TensorMesh& mesh, const State& state, int i, int j) {
  const double sw = state.psi[mesh.node(i, j)];
  const double se = state.psi[mesh.node(i + 1, j)];
  const double nw = state.psi[mesh.node(i, j + 1)];
  const double ne = state.psi[mesh.node(i + 1, j + 1)];
  // The mean of two faces each; nothing flows through the axis.
  const auto per_depth = [&](int line) {
    const double depth = mesh.line_depth(line);
    return depth > 0.0 ? 1.0 / depth : 0.0;
  };
  const double south = per_depth(j);
  const double north = per_depth(j + 1);
  return {0.5 * (nw - sw + ne - se) / mesh.x_face_area(j),
          0.5 * (sw * south - se * south + nw * north - ne * north) / mesh.x.width(i)};
}

double air_speed_max(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  double fastest = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (!mesh.is_air(i, j)) {
        continue;
      }
      const CellVelocity velocity = cell_velocity(mesh, state, i, j);
      const int medium = problem.medium_cell[mesh.cell(i, j)];
      const double porosity = medium < 0 ? 1.0 : problem.media[medium].porosity;
      fastest = std::max(fastest, std::hypot(velocity.x, velocity.y) / porosity);
    }
  }
  return fastest;
}

} // namespace tiltfin
