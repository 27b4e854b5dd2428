#include "post/numbers/through_flow.hpp"

#include "mesh/index.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/flows.hpp"
#include "post/numbers/upstream.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

namespace tiltfin {
namespace {

/// Air that has left the machine's outline is followed this share of a fin length at least: a
/// cooler may stand in the outline itself.
constexpr double least_way = 0.25;

/// Where the air that feeds the fins is taken, of a fin length. Upstream warming by conduction
/// fades over diffusivity / speed: half a millimetre at 5 cm/s.
constexpr double feeding_way = 0.1;

Rectangle around(const std::optional<Rectangle>& box, const Rectangle& r) {
  return box ? Rectangle{std::min(box->x0, r.x0), std::max(box->x1, r.x1), std::min(box->y0, r.y0),
                         std::max(box->y1, r.y1)}
             : r;
}

/// The cooler's outline and how long its fins are.
struct CoolerOutline {
  Rectangle box;
  double fin_length = 0.0; ///< longer side of the longest fin, of the outline without fins [m]
};

std::optional<CoolerOutline> cooler_outline(const Section& section) {
  std::optional<Rectangle> box;
  double length = 0.0;
  const auto add_fin = [&](const Rectangle& extent) {
    box = around(box, extent);
    length = std::max({length, extent.width(), extent.height()});
  };
  for (const FinMedium& medium : section.media) {
    add_fin(medium.extent);
  }
  for (const Solid& solid : section.solids) {
    if (solid.role == Role::fin) {
      add_fin(solid.extent);
    }
  }
  for (const Role role : {Role::base, Role::source}) {
    if (role == Role::source && box) {
      break;
    }
    for (const Solid& solid : section.solids) {
      box = solid.role == role ? around(box, solid.extent) : box;
    }
  }
  if (!box) {
    return std::nullopt;
  }
  return CoolerOutline{*box, length > 0.0 ? length : std::max(box->width(), box->height())};
}

/// The cells of fins, base and the air between them, and the faces round these.
class CoolerCells {
public:
  CoolerCells(const Section& section, const CoolerOutline& cooler, const TensorMesh& mesh)
      : mesh_(mesh), is_own_(index(mesh.n_cells()), 0) {
    const std::vector<Gap> gaps = fin_gaps(section);
    if (gaps.empty() && section.media.empty()) {
      add(cooler.box);
    }
    for (const Gap& gap : gaps) {
      add(gap.extent);
    }
    for (const FinMedium& medium : section.media) {
      add(medium.extent);
    }
    for (const Solid& solid : section.solids) {
      if (solid.role == Role::fin || solid.role == Role::base) {
        add(solid.extent);
      }
    }
  }

  /// Calls visit(face, flow inwards).
  template <class Visit>
  void for_each_face(const State& state, const Visit& visit) const {
    for (int j = 0; j <= mesh_.y.n(); ++j) {
      for (int i = 0; i <= mesh_.x.n(); ++i) {
        const bool here = is_own(i, j);
        if (j < mesh_.y.n() && is_own(i - 1, j) != here) {
          const CrossedEdge edge = x_edge(mesh_, state, i, j);
          visit(edge, here ? edge.flow : -edge.flow);
        }
        if (i < mesh_.x.n() && is_own(i, j - 1) != here) {
          const CrossedEdge edge = y_edge(mesh_, state, i, j);
          visit(edge, here ? edge.flow : -edge.flow);
        }
      }
    }
  }
  /// True when the air that crosses the face comes out of them.
  [[nodiscard]] bool is_left_through(const CrossedEdge& edge) const {
    return is_own(edge.i - (edge.is_x && edge.flow > 0.0 ? 1 : 0),
                  edge.j - (!edge.is_x && edge.flow > 0.0 ? 1 : 0));
  }

private:
  void add(const Rectangle& extent) {
    for (int j = nearest_face(mesh_.y, extent.y0); j < nearest_face(mesh_.y, extent.y1); ++j) {
      for (int i = nearest_face(mesh_.x, extent.x0); i < nearest_face(mesh_.x, extent.x1); ++i) {
        is_own_[index(mesh_.cell(i, j))] = 1;
      }
    }
  }
  [[nodiscard]] bool is_own(int i, int j) const {
    return i >= 0 && j >= 0 && i < mesh_.x.n() && j < mesh_.y.n() &&
           is_own_[index(mesh_.cell(i, j))] != 0;
  }

  const TensorMesh& mesh_;
  std::vector<char> is_own_;
};

/// What crosses the outline, and where it is from.
void add_inflow(const CoolerOutline& cooler, const Section& section, const Problem& problem,
                const State& state, ThroughFlow& flow) {
  const CoolerCells cells(section, cooler, problem.mesh);
  const auto is_far = [&](const UpstreamPoint& point) {
    const Rectangle& outline = cooler.box;
    const bool has_left = section.machine && !section.machine->contains(point.x, point.y) &&
                          !outline.contains(point.x, point.y);
    return point.path >= cooler.fin_length * (has_left ? least_way : 1.0);
  };
  double sum = 0.0;
  double feeding = 0.0;
  double origin = 0.0;
  cells.for_each_face(state, [&](const CrossedEdge& edge, double inflow) {
    sum += std::abs(inflow);
    if (inflow <= 0.0) {
      return;
    }
    std::optional<CrossedEdge> ahead;
    const auto source = upstream_of(problem.mesh, state, edge, [&](const UpstreamPoint& point) {
      if (!ahead && point.path >= feeding_way * cooler.fin_length) {
        ahead = point.edge;
      }
      return is_far(point) || (point.path > 0.0 && cells.is_left_through(point.edge));
    });
    if (!source || cells.is_left_through(source->edge)) {
      flow.re_entering += inflow;
      return;
    }
    flow.fresh += inflow;
    feeding += inflow * edge_temperature(problem, state, ahead.value_or(source->edge));
    origin += inflow * edge_temperature(problem, state, source->edge);
  });
  flow.in = 0.5 * sum;
  flow.feeding_temperature = feeding / flow.fresh;
  flow.source_temperature = origin / flow.fresh;
}

/// Sum of the amounts of the net flow of each air run of a line; `flow` of face k, `is_air`: on
/// both sides of it.
template <class Flow, class IsAir>
double net_of_runs(int first, int last, const Flow& flow, const IsAir& is_air) {
  double sum = 0.0;
  double run = 0.0;
  for (int k = first; k < last; ++k) {
    if (is_air(k)) {
      run += flow(k);
    } else {
      sum += std::abs(std::exchange(run, 0.0));
    }
  }
  return sum + std::abs(run);
}

/// Past the cooler, along y (`along_y`) or along x.
double flow_beside(const CoolerOutline& cooler, const Rectangle& machine, const Problem& problem,
                   const State& state, bool along_y) {
  const TensorMesh& mesh = problem.mesh;
  const Axis& across = along_y ? mesh.x : mesh.y;
  const Axis& along = along_y ? mesh.y : mesh.x;
  const Rectangle& box = cooler.box;
  const int line = nearest_face(along, along_y ? 0.5 * (box.y0 + box.y1) : 0.5 * (box.x0 + box.x1));
  const auto flow = [&](int k) {
    return along_y ? y_edge(mesh, state, k, line).flow : x_edge(mesh, state, line, k).flow;
  };
  const auto is_air = [&](int k) {
    const auto air_at = [&](int place) {
      return along_y ? mesh.is_air(k, place) : mesh.is_air(place, k);
    };
    return line > 0 && line < along.n() && air_at(line - 1) && air_at(line);
  };
  const auto between = [&](double from, double to) {
    return net_of_runs(nearest_face(across, from), nearest_face(across, to), flow, is_air);
  };
  return along_y ? between(machine.x0, box.x0) + between(box.x1, machine.x1)
                 : between(machine.y0, box.y0) + between(box.y1, machine.y1);
}

} // namespace

bool is_stagnant(const AirProperties& air, double fresh, double rise, double released) {
  return air.density * air.heat_capacity * fresh * rise < stagnant_share * released;
}

ThroughFlow through_flow(const Section& section, const Problem& problem, const State& state) {
  const std::optional<CoolerOutline> cooler = cooler_outline(section);
  if (!cooler) {
    return {nan, nan, nan, nan, nan, nan, nan};
  }
  ThroughFlow result;
  add_inflow(*cooler, section, problem, state, result);
  double along_y = 0.0;
  double along_x = 0.0;
  const double per_depth = 1.0 / (problem.air.density * section.depth);
  const std::vector<GapFlow> gaps = gap_flows(section, problem, state);
  const std::vector<Gap> between_fins = fin_gaps(section);
  for (std::size_t k = 0; k < gaps.size(); ++k) {
    const bool is_medium = k >= between_fins.size(); // along y, then along x
    const bool is_along_y =
        is_medium ? (k - between_fins.size()) % 2 == 0 : between_fins[k].across_x;
    const double amount = std::abs(gaps[k].net_flow_kg_per_s.value) * per_depth;
    (is_along_y ? along_y : along_x) += amount;
  }
  result.crossing = section.media.empty() ? along_x + along_y : std::max(along_x, along_y);
  result.bypass = section.machine
                      ? flow_beside(*cooler, *section.machine, problem, state, along_y >= along_x)
                      : nan;
  return result;
}

} // namespace tiltfin
