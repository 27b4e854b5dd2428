#include "post/numbers/flows.hpp"

#include "post/fits/estimate.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// Air through one mesh face of a line.
struct FaceFlow {
  double flow = 0.0;        ///< towards +x or +y [m2/s]
  double temperature = 0.0; ///< at the face [K]
  double width = 0.0;       ///< [m]
};

int nearest_face(const Axis& axis, double position) {
  const auto above = std::lower_bound(axis.faces.begin(), axis.faces.end(), position);
  if (above == axis.faces.begin()) {
    return 0;
  }
  const int index = static_cast<int>(above - axis.faces.begin());
  if (above == axis.faces.end()) {
    return axis.n();
  }
  return position - axis.at(index - 1) < axis.at(index) - position ? index - 1 : index;
}

/// Temperature where air crosses an outer side: the side's own when it enters.
double side_temperature(const Side& side, double cell_temperature, double inwards) {
  return inwards > 0.0 ? side.temperature : cell_temperature;
}

double between(const Axis& axis, int face, double before, double after) {
  const double a = axis.width(face - 1);
  const double b = axis.width(face);
  return (before * b + after * a) / (a + b);
}

/// Faces of the vertical mesh line i between nodes j0 and j1, flow positive towards +x.
std::vector<FaceFlow> across_x_line(const Problem& problem, const State& state, int i, int j0,
                                    int j1) {
  const TensorMesh& mesh = problem.mesh;
  std::vector<FaceFlow> faces;
  for (int j = j0; j < j1; ++j) {
    FaceFlow face;
    face.flow = state.psi[mesh.node(i, j + 1)] - state.psi[mesh.node(i, j)];
    face.width = mesh.y.width(j);
    if (i == 0) {
      face.temperature =
          side_temperature(problem.sides[west], state.temperature[mesh.cell(0, j)], face.flow);
    } else if (i == mesh.x.n()) {
      face.temperature =
          side_temperature(problem.sides[east], state.temperature[mesh.cell(i - 1, j)], -face.flow);
    } else {
      face.temperature = between(mesh.x, i, state.temperature[mesh.cell(i - 1, j)],
                                 state.temperature[mesh.cell(i, j)]);
    }
    faces.push_back(face);
  }
  return faces;
}

/// Faces of the horizontal mesh line j between nodes i0 and i1, flow positive towards +y.
std::vector<FaceFlow> across_y_line(const Problem& problem, const State& state, int j, int i0,
                                    int i1) {
  const TensorMesh& mesh = problem.mesh;
  std::vector<FaceFlow> faces;
  for (int i = i0; i < i1; ++i) {
    FaceFlow face;
    face.flow = state.psi[mesh.node(i, j)] - state.psi[mesh.node(i + 1, j)];
    face.width = mesh.x.width(i);
    if (j == 0) {
      face.temperature =
          side_temperature(problem.sides[south], state.temperature[mesh.cell(i, 0)], face.flow);
    } else if (j == mesh.y.n()) {
      face.temperature = side_temperature(problem.sides[north],
                                          state.temperature[mesh.cell(i, j - 1)], -face.flow);
    } else {
      face.temperature = between(mesh.y, j, state.temperature[mesh.cell(i, j - 1)],
                                 state.temperature[mesh.cell(i, j)]);
    }
    faces.push_back(face);
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

void add(Exchange& sum, const Exchange& part) {
  sum.forward += part.forward;
  sum.backward += part.backward;
  sum.forward_sum += part.forward_sum;
  sum.backward_sum += part.backward_sum;
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

/// Weighted by the flow either way; by width in still air.
double mean_temperature(const std::vector<FaceFlow>& faces, const Exchange& sum) {
  if (sum.forward + sum.backward > 0.0) {
    return (sum.forward_sum + sum.backward_sum) / (sum.forward + sum.backward);
  }
  double width = 0.0;
  double total = 0.0;
  for (const FaceFlow& face : faces) {
    width += face.width;
    total += face.width * face.temperature;
  }
  return total / width;
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

/// Box around all solids of a role, and around the media for that of fins; no area when there is
/// none.
Rectangle box_of(const Section& section, Role role) {
  Rectangle box;
  bool is_first = true;
  const auto enclose = [&](const Rectangle& r) {
    box = is_first ? r
                   : Rectangle{std::min(box.x0, r.x0), std::max(box.x1, r.x1),
                               std::min(box.y0, r.y0), std::max(box.y1, r.y1)};
    is_first = false;
  };
  for (const Solid& solid : section.solids) {
    if (solid.role == role) {
      enclose(solid.extent);
    }
  }
  if (role == Role::fin) {
    for (const FinMedium& medium : section.media) {
      enclose(medium.extent);
    }
  }
  return box;
}

Rectangle cooler_box(const Section& section) {
  for (const Role role : {Role::fin, Role::base, Role::source}) {
    const Rectangle box = box_of(section, role);
    if (box.width() > 0.0) {
      return box;
    }
  }
  return {};
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

double air_into_fins(const Section& section, const Problem& problem, const State& state) {
  const Rectangle box = cooler_box(section);
  if (box.width() <= 0.0) {
    return nan;
  }
  const int i0 = nearest_face(problem.mesh.x, box.x0);
  const int i1 = nearest_face(problem.mesh.x, box.x1);
  const int j0 = nearest_face(problem.mesh.y, box.y0);
  const int j1 = nearest_face(problem.mesh.y, box.y1);
  Exchange in = add_up(across_x_line(problem, state, i0, j0, j1));
  add(in, add_up(across_y_line(problem, state, j0, i0, i1)));
  const Exchange east_edge = add_up(across_x_line(problem, state, i1, j0, j1));
  const Exchange north_edge = add_up(across_y_line(problem, state, j1, i0, i1));
  // Air enters the far edges against the direction of the axis.
  return (in.forward_sum + east_edge.backward_sum + north_edge.backward_sum) /
         (in.forward + east_edge.backward + north_edge.backward);
}

CellVelocity cell_velocity(const TensorMesh& mesh, const State& state, int i, int j) {
  const double sw = state.psi[mesh.node(i, j)];
  const double se = state.psi[mesh.node(i + 1, j)];
  const double nw = state.psi[mesh.node(i, j + 1)];
  const double ne = state.psi[mesh.node(i + 1, j + 1)];
  return {0.5 * (nw - sw + ne - se) / mesh.y.width(j), 0.5 * (sw - se + nw - ne) / mesh.x.width(i)};
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
