#include "post/views/streamlines.hpp"

#include "post/numbers/flows.hpp"
#include "post/views/refine.hpp"

#include <vtkCellArray.h>
#include <vtkContourFilter.h>
#include <vtkDoubleArray.h>
#include <vtkIdList.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>
#include <vtkRectilinearGrid.h>
#include <vtkStripper.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

using Point = std::array<double, 2>;

/// Below this range of psi [m2/s] the air counts as still: a metre of it would move micrometres per
/// second.
constexpr double still = 1e-9;

double distance_to_chord(const Point& p, const Point& a, const Point& b) {
  const double dx = b[0] - a[0];
  const double dy = b[1] - a[1];
  const double length2 = dx * dx + dy * dy;
  double t = 0.0;
  if (length2 > 0.0) {
    t = std::clamp(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length2, 0.0, 1.0);
  }
  return std::hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}

/// Leaves out points that lie within `tolerance` of the chord of those kept.
/// Source: Douglas and Peucker 1973, Cartographica 10, 112-122.
std::vector<Point> simplified(const std::vector<Point>& points, double tolerance) {
  std::vector<char> kept(points.size(), 0);
  kept.front() = 1;
  kept.back() = 1;
  std::vector<std::pair<std::size_t, std::size_t>> chords{{0, points.size() - 1}};
  while (!chords.empty()) {
    const auto [first, last] = chords.back();
    chords.pop_back();
    double farthest = tolerance;
    std::size_t split = 0;
    for (std::size_t k = first + 1; k < last; ++k) {
      const double away = distance_to_chord(points[k], points[first], points[last]);
      if (away > farthest) {
        farthest = away;
        split = k;
      }
    }
    if (split > 0) {
      kept[split] = 1;
      chords.emplace_back(first, split);
      chords.emplace_back(split, last);
    }
  }
  std::vector<Point> result;
  for (std::size_t k = 0; k < points.size(); ++k) {
    if (kept[k] != 0) {
      result.push_back(points[k]);
    }
  }
  return result;
}

/// True when the line runs with the air at its longest segment: psi is larger on its left.
bool runs_with_air(const TensorMesh& mesh, const State& state, const std::vector<Point>& points) {
  std::size_t longest = 1;
  double length = 0.0;
  for (std::size_t k = 1; k < points.size(); ++k) {
    const double here =
        std::hypot(points[k][0] - points[k - 1][0], points[k][1] - points[k - 1][1]);
    if (here > length) {
      length = here;
      longest = k;
    }
  }
  const Point& a = points[longest - 1];
  const Point& b = points[longest];
  const int i = cell_at(mesh.x, 0.5 * (a[0] + b[0]));
  const int j = cell_at(mesh.y, 0.5 * (a[1] + b[1]));
  const CellVelocity velocity = cell_velocity(mesh, state, i, j);
  return velocity.x * (b[0] - a[0]) + velocity.y * (b[1] - a[1]) >= 0.0;
}

/// Extremes of psi over the nodes in `seen`; in reverse order when there is none.
std::array<double, 2> psi_range(const TensorMesh& mesh, const State& state, const Rectangle& seen) {
  std::array<double, 2> range{std::numeric_limits<double>::infinity(),
                              -std::numeric_limits<double>::infinity()};
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      const double x = mesh.x.at(i);
      const double y = mesh.y.at(j);
      if (x >= seen.x0 && x <= seen.x1 && y >= seen.y0 && y <= seen.y1) {
        range[0] = std::min(range[0], state.psi[mesh.node(i, j)]);
        range[1] = std::max(range[1], state.psi[mesh.node(i, j)]);
      }
    }
  }
  return range;
}

vtkNew<vtkRectilinearGrid> grid_of(const NodeField& field) {
  const auto array_of = [](const std::vector<double>& values) {
    vtkNew<vtkDoubleArray> array;
    for (const double value : values) {
      array->InsertNextValue(value);
    }
    return array;
  };
  vtkNew<vtkRectilinearGrid> grid;
  grid->SetDimensions(static_cast<int>(field.x.size()), static_cast<int>(field.y.size()), 1);
  grid->SetXCoordinates(array_of(field.x));
  grid->SetYCoordinates(array_of(field.y));
  grid->SetZCoordinates(array_of({0.0}));
  grid->GetPointData()->SetScalars(array_of(field.values));
  return grid;
}

/// Contour lines at one level, segments joined.
void add_lines(const TensorMesh& mesh, const State& state, vtkPolyData* contour, double psi,
               double tolerance, std::vector<Streamline>& lines) {
  vtkNew<vtkIdList> ids;
  vtkCellArray* cells = contour->GetLines();
  for (vtkIdType k = 0; k < cells->GetNumberOfCells(); ++k) {
    cells->GetCellAtId(k, ids);
    std::vector<Point> points;
    for (vtkIdType m = 0; m < ids->GetNumberOfIds(); ++m) {
      std::array<double, 3> p{};
      contour->GetPoint(ids->GetId(m), p.data());
      points.push_back({p[0], p[1]});
    }
    if (points.size() < 2) {
      continue;
    }
    if (!runs_with_air(mesh, state, points)) {
      std::reverse(points.begin(), points.end());
    }
    lines.push_back({psi, simplified(points, tolerance)});
  }
}

} // namespace

Streamlines make_streamlines(const TensorMesh& mesh, const State& state, const Rectangle& seen,
                             const StreamlineOptions& options) {
  Streamlines result;
  const auto [smallest, largest] = psi_range(mesh, state, seen);
  if (!(largest - smallest > still)) {
    return result;
  }
  const auto [low, high] = psi_range(mesh, state, options.focus.value_or(seen));
  const double wanted = options.n_levels * (largest - smallest) / std::max(high - low, still);
  const int n_levels = static_cast<int>(std::clamp<double>(
      std::round(wanted), options.n_levels, std::max(options.most_levels, options.n_levels)));
  result.spacing = (largest - smallest) / n_levels;
  const NodeField field = refined(mesh, state.psi, options.largest_step);
  const vtkNew<vtkRectilinearGrid> grid = grid_of(field);
  vtkNew<vtkContourFilter> contour;
  contour->SetInputData(grid);
  contour->SetNumberOfContours(1);
  contour->ComputeNormalsOff();
  contour->ComputeGradientsOff();
  contour->SetOutputPointsPrecision(vtkAlgorithm::DOUBLE_PRECISION);
  vtkNew<vtkStripper> stripper;
  stripper->SetInputConnection(contour->GetOutputPort());
  stripper->JoinContiguousSegmentsOn();
  stripper->SetMaximumLength(static_cast<int>(field.values.size()));
  for (int k = 0; k < n_levels; ++k) {
    const double psi = smallest + (k + 0.5) * result.spacing;
    contour->SetValue(0, psi);
    stripper->Update();
    add_lines(mesh, state, stripper->GetOutput(), psi, options.tolerance, result.lines);
  }
  return result;
}

} // namespace tiltfin
