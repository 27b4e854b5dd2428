#include "post/views/streamlines.hpp"

#include "post/numbers/flows.hpp"
#include "post/views/memory_guard.hpp"
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

/// The first and last of ascending `lines` that are needed to cover low to high.
std::array<std::size_t, 2> cover(const std::vector<double>& lines, double low, double high) {
  const auto first = std::ranges::upper_bound(lines, low);
  const auto last = std::ranges::lower_bound(lines, high);
  return {static_cast<std::size_t>(std::max(first - lines.begin() - 1, std::ptrdiff_t{0})),
          std::min(static_cast<std::size_t>(last - lines.begin()), lines.size() - 1)};
}

constexpr std::size_t around = 3; // cells that shape the curves beside them

/// The part of the mesh that covers `seen` with some cells around it, and its psi.
NodeField cropped(const TensorMesh& mesh, const State& state, const Rectangle& seen) {
  const auto range = [](const Axis& axis, double low, double high) {
    const auto [first, last] = cover(axis.faces, low, high);
    return std::array<std::size_t, 2>{first - std::min(first, around),
                                      std::min(last + around, axis.faces.size() - 1)};
  };
  const auto [i0, i1] = range(mesh.x, seen.x0, seen.x1);
  const auto [j0, j1] = range(mesh.y, seen.y0, seen.y1);
  NodeField part;
  for (std::size_t i = i0; i <= i1; ++i) {
    part.x.push_back(mesh.x.faces[i]);
  }
  for (std::size_t j = j0; j <= j1; ++j) {
    part.y.push_back(mesh.y.faces[j]);
    for (std::size_t i = i0; i <= i1; ++i) {
      part.values.push_back(state.psi[index(mesh.node(static_cast<int>(i), static_cast<int>(j)))]);
    }
  }
  return part;
}

/// The part of a finer grid that covers `seen`.
NodeField cropped(const NodeField& field, const Rectangle& seen) {
  const auto [i0, i1] = cover(field.x, seen.x0, seen.x1);
  const auto [j0, j1] = cover(field.y, seen.y0, seen.y1);
  const auto at = [](std::size_t k) { return static_cast<std::ptrdiff_t>(k); };
  NodeField part;
  part.x.assign(field.x.begin() + at(i0), field.x.begin() + at(i1 + 1));
  part.y.assign(field.y.begin() + at(j0), field.y.begin() + at(j1 + 1));
  for (std::size_t j = j0; j <= j1; ++j) {
    const auto row = field.values.begin() + at(j * field.x.size());
    part.values.insert(part.values.end(), row + at(i0), row + at(i1 + 1));
  }
  return part;
}

/// Contour lines of all levels, segments joined.
std::vector<Streamline> lines_of(const TensorMesh& mesh, const State& state, vtkPolyData* contours,
                                 double tolerance) {
  std::vector<Streamline> lines;
  vtkNew<vtkIdList> ids;
  vtkCellArray* cells = contours->GetLines();
  vtkDataArray* levels = contours->GetPointData()->GetScalars();
  for (vtkIdType k = 0; k < cells->GetNumberOfCells(); ++k) {
    cells->GetCellAtId(k, ids);
    std::vector<Point> points;
    for (vtkIdType m = 0; m < ids->GetNumberOfIds(); ++m) {
      std::array<double, 3> p{};
      contours->GetPoint(ids->GetId(m), p.data());
      points.push_back({p[0], p[1]});
    }
    if (points.size() < 2) {
      continue;
    }
    if (!runs_with_air(mesh, state, points)) {
      std::reverse(points.begin(), points.end());
    }
    lines.push_back({levels->GetComponent(ids->GetId(0), 0), simplified(points, tolerance)});
  }
  std::ranges::stable_sort(lines, {}, &Streamline::psi);
  return lines;
}

} // namespace

double psi_span(const TensorMesh& mesh, const State& state, const Rectangle& part) {
  const auto [smallest, largest] = psi_range(mesh, state, part);
  return largest - smallest > still ? largest - smallest : 0.0;
}

std::vector<Streamline> make_streamlines(const TensorMesh& mesh, const State& state,
                                         const Rectangle& seen, const StreamlineOptions& options) {
  const auto [smallest, largest] = psi_range(mesh, state, seen);
  if (!(largest - smallest > still) || !(options.spacing > 0.0)) {
    return {};
  }
  const NodeField coarse = cropped(mesh, state, seen);
  const TensorMesh part{.x = {coarse.x}, .y = {coarse.y}, .region = {}};
  const NodeField field = cropped(refined(part, coarse.values, options.largest_step), seen);
  const MemoryGuard guard;
  const vtkNew<vtkRectilinearGrid> grid = grid_of(field);
  vtkNew<vtkContourFilter> contour;
  contour->SetInputData(grid);
  contour->ComputeNormalsOff();
  contour->ComputeGradientsOff();
  contour->SetOutputPointsPrecision(vtkAlgorithm::DOUBLE_PRECISION);
  int n_levels = 0;
  for (double k = std::floor(smallest / options.spacing - 0.5) + 1.0;
       (k + 0.5) * options.spacing < largest; k += 1.0) {
    contour->SetValue(n_levels++, (k + 0.5) * options.spacing);
  }
  vtkNew<vtkStripper> stripper;
  stripper->SetInputConnection(contour->GetOutputPort());
  stripper->JoinContiguousSegmentsOn();
  stripper->SetMaximumLength(static_cast<int>(field.values.size()));
  stripper->Update();
  return lines_of(mesh, state, stripper->GetOutput(), options.tolerance);
}

} // namespace tiltfin
