#include "post/numbers/draft.hpp"

#include "mesh/index.hpp"
#include "post/numbers/flows.hpp"
#include "post/numbers/through_flow.hpp"
#include "solver/pressure.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace tiltfin {
namespace {

enum Place { before = 0, in_fins, after, at_grilles, of_room };
constexpr std::array<const char*, 5> place_names{"before", "fins", "after", "grilles", "room"};

/// A streamline through the cooler, the way the air goes.
struct Way {
  std::vector<UpstreamPoint> points;
  std::size_t enters = 0; ///< point on the outline where it comes in
  std::size_t leaves = 0; ///< and first one where it is out again
};

bool has_loss(const Problem& problem, const CrossedEdge& edge) {
  const std::vector<GrilleLoss>& losses = edge.is_x ? problem.grille_x : problem.grille_y;
  if (losses.empty()) {
    return false;
  }
  const GrilleLoss& loss =
      losses[index(edge.is_x ? problem.face_x(edge.i, edge.j) : problem.face_y(edge.i, edge.j))];
  return loss.linear > 0.0 || loss.quadratic > 0.0;
}

class Draft {
public:
  Draft(const Section& section, const CoolerOutline& cooler, const Problem& problem,
        const State& state)
      : section_(section),
        cooler_(cooler),
        problem_(problem),
        state_(state),
        reversed_(state),
        cells_(section, cooler, problem.mesh),
        pressure_(pressure(problem, state)) {
    for (double& psi : reversed_.psi) {
      psi = -psi;
    }
  }

  /// Means of driving and lost pressure by place.
  [[nodiscard]] std::vector<DraftPart> parts() const {
    std::array<double, place_names.size()> driving{};
    std::array<double, place_names.size()> lost{};
    double flow = 0.0;
    for (const FreshInflow& fresh : inflow(cooler_, cells_, section_, problem_, state_).fresh) {
      if (const std::optional<Way> way = way_of(fresh.edge)) {
        add(*way, fresh.flow, driving, lost);
        flow += fresh.flow;
      }
    }
    std::vector<DraftPart> result;
    for (std::size_t k = 0; k < place_names.size(); ++k) {
      result.push_back({place_names[k], {driving[k] / flow, nan}, {lost[k] / flow, nan}});
    }
    return result;
  }

private:
  using Sums = std::array<double, place_names.size()>;

  [[nodiscard]] bool is_outside(const UpstreamPoint& point) const {
    return !cooler_.box.contains(point.x, point.y) &&
           (!section_.machine || !section_.machine->contains(point.x, point.y));
  }

  /// True when the way outside the cooler is long enough to end here.
  [[nodiscard]] bool is_far(const UpstreamPoint& point, double path) const {
    return is_outside(point) && path >= cooler_.fin_length * (section_.machine ? least_way : 1.0);
  }

  /// Nothing where the line is lost.
  [[nodiscard]] std::optional<Way> way_of(const CrossedEdge& start) const {
    Way way;
    const auto origin = upstream_of(problem_.mesh, state_, start, [&](const UpstreamPoint& point) {
      way.points.push_back(point);
      return is_far(point, point.path) || (point.path > 0.0 && cells_.is_left_through(point.edge));
    });
    keep_end(origin, way);
    std::reverse(way.points.begin(), way.points.end());
    way.enters = way.points.size() - 1;
    way.points.pop_back(); // it begins the other half, too
    CrossedEdge back = start;
    back.flow = -back.flow;
    double path_inside = -1.0;
    const auto end = upstream_of(problem_.mesh, reversed_, back, [&](const UpstreamPoint& point) {
      const bool goes_into_cooler = cells_.is_left_through(point.edge);
      way.points.push_back(point);
      if (path_inside < 0.0 && !goes_into_cooler) {
        path_inside = point.path;
        way.leaves = way.points.size() - 1;
      }
      return path_inside >= 0.0 && (goes_into_cooler || is_far(point, point.path - path_inside));
    });
    keep_end(end, way);
    if (!origin || !end || path_inside < 0.0) {
      return std::nullopt;
    }
    return way;
  }

  /// The section's side ends a line without being asked.
  static void keep_end(const std::optional<UpstreamPoint>& end, Way& way) {
    if (end && !(end->edge == way.points.back().edge)) {
      way.points.push_back(*end);
    }
  }

  /// Static pressure and that of the motion where a face is crossed [Pa].
  [[nodiscard]] double total_pressure(const CrossedEdge& edge) const {
    const TensorMesh& mesh = problem_.mesh;
    const Axis& axis = edge.is_x ? mesh.x : mesh.y;
    const int face = edge.is_x ? edge.i : edge.j;
    const auto at = [&](int place) {
      const int i = edge.is_x ? place : edge.i;
      const int j = edge.is_x ? edge.j : place;
      const CellVelocity u = cell_velocity(mesh, state_, i, j);
      return pressure_[index(mesh.cell(i, j))] +
             0.5 * problem_.air.density * (u.x * u.x + u.y * u.y);
    };
    if (face == 0 || face == axis.n()) {
      return at(face == 0 ? 0 : face - 1);
    }
    const double a = axis.width(face - 1);
    const double b = axis.width(face);
    return (at(face - 1) * b + at(face) * a) / (a + b);
  }

  /// Buoyancy of the cell that lies between two points of a line, along it [Pa].
  [[nodiscard]] double buoyancy(const UpstreamPoint& from, const UpstreamPoint& to) const {
    const TensorMesh& mesh = problem_.mesh;
    const auto cell_at = [](const Axis& axis, double place) {
      const auto above = std::upper_bound(axis.faces.begin(), axis.faces.end(), place);
      return std::clamp(static_cast<int>(above - axis.faces.begin()) - 1, 0, axis.n() - 1);
    };
    const int cell =
        mesh.cell(cell_at(mesh.x, 0.5 * (from.x + to.x)), cell_at(mesh.y, 0.5 * (from.y + to.y)));
    const double excess = state_.temperature[index(cell)] - problem_.air.reference_temperature;
    return -problem_.air.density * problem_.air.expansion * excess *
           (problem_.gravity_x * (to.x - from.x) + problem_.gravity_y * (to.y - from.y));
  }

  void add(const Way& way, double flow, Sums& driving, Sums& lost) const {
    const double first = total_pressure(way.points.front().edge);
    double here = first;
    for (std::size_t k = 1; k < way.points.size(); ++k) {
      const UpstreamPoint& from = way.points[k - 1];
      const UpstreamPoint& to = way.points[k];
      const bool grille = has_loss(problem_, from.edge) || has_loss(problem_, to.edge);
      const Place place = grille            ? at_grilles
                          : k <= way.enters ? before
                          : k <= way.leaves ? in_fins
                                            : after;
      const double next = total_pressure(to.edge);
      const double risen = buoyancy(from, to);
      driving[place] += flow * risen;
      lost[place] += flow * (risen + here - next);
      here = next;
    }
    driving[of_room] += flow * (first - here);
  }

  const Section& section_;
  const CoolerOutline& cooler_;
  const Problem& problem_;
  const State& state_;
  State reversed_; ///< the same air going back
  OutlinedCells cells_;
  std::vector<double> pressure_;
};

} // namespace

std::vector<DraftPart> draft(const Section& section, const Problem& problem, const State& state) {
  const std::optional<CoolerOutline> cooler = cooler_outline(section);
  return cooler ? Draft(section, *cooler, problem, state).parts() : std::vector<DraftPart>{};
}

} // namespace tiltfin
