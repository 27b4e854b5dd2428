#include "post/numbers/through_flow.hpp"

#include "mesh/index.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/cooler_outline.hpp"
#include "post/numbers/flows.hpp"
#include "post/numbers/upstream.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

namespace tiltfin {
namespace {

/// Where the air that feeds the fins is taken, of a fin length. Upstream warming by conduction
/// fades over diffusivity / speed: half a millimetre at 5 cm/s.
constexpr double feeding_way = 0.1;

/// What enters the cooler, and how warm it is.
void add_inflow(const CoolerOutline& cooler, const Section& section, const Problem& problem,
                const State& state, ThroughFlow& flow) {
  const OutlinedCells cells(section, cooler, problem.mesh);
  const Inflow entering = inflow(cooler, cells, section, problem, state);
  double feeding = 0.0;
  double origin = 0.0;
  for (const FreshInflow& fresh : entering.fresh) {
    flow.fresh += fresh.flow;
    feeding += fresh.flow * edge_temperature(problem, state, fresh.ahead);
    origin += fresh.flow * edge_temperature(problem, state, fresh.source);
  }
  flow.in = 0.5 * entering.either_way;
  flow.re_entering = entering.re_entering;
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

Inflow inflow(const CoolerOutline& cooler, const OutlinedCells& cells, const Section& section,
              const Problem& problem, const State& state) {
  const auto is_far = [&](const UpstreamPoint& point) {
    const Rectangle& outline = cooler.box;
    const bool has_left = section.machine && !section.machine->contains(point.x, point.y) &&
                          !outline.contains(point.x, point.y);
    return point.path >= cooler.fin_length * (has_left ? least_way : 1.0);
  };
  Inflow result;
  cells.for_each_face(state, [&](const CrossedEdge& edge, double flow) {
    result.either_way += std::abs(flow);
    if (flow <= 0.0) {
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
      result.re_entering += flow;
      return;
    }
    result.fresh.push_back({edge, flow, ahead.value_or(source->edge), source->edge});
  });
  return result;
}

bool is_stagnant(const AirProperties& air, double fresh, double rise, double released) {
  return air.density * air.heat_capacity * fresh * rise < stagnant_share * released;
}

double case_re_entering_share(const Section& section, const Problem& problem, const State& state) {
  if (!section.machine) {
    return nan;
  }
  const double way = std::max(section.machine->width(), section.machine->height());
  const OutlinedCells machine(*section.machine, problem.mesh);
  double entering = 0.0;
  double again = 0.0;
  machine.for_each_face(state, [&](const CrossedEdge& edge, double flow) {
    if (flow <= 0.0) {
      return;
    }
    entering += flow;
    const auto source = upstream_of(problem.mesh, state, edge, [&](const UpstreamPoint& point) {
      return point.path >= way || (point.path > 0.0 && machine.is_left_through(point.edge));
    });
    again += !source || machine.is_left_through(source->edge) ? flow : 0.0;
  });
  return again / entering;
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
