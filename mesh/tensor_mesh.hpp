#pragma once
// The tensor-product grid of a section. Cells (i, j) with x fastest; nodes (i, j) are the lower
// left corners of cells, one more in each direction. Every rectangle edge is a mesh line.

#include "mesh/axis.hpp"
#include "mesh/index.hpp"
#include "mesh/section.hpp"

#include <vector>

namespace tiltfin {

/// Cell sizes wanted. Zero lengths mean "choose": largest_cell becomes the longer side of the
/// section divided by 20; wall_cell the smallest gap divided by cells_per_gap, where gaps narrower
/// than 0.2 mm do not count (they get their cells, but do not rule every other wall), and at most
/// the longer side divided by 40. wall_cell never exceeds largest_cell. The lines of openings, of
/// grilles and of the machine's outline, open sides and symmetry sides ask for no small cells of
/// their own. Fin media ask for the wall cell along their edges; the gap between their fins does
/// not count as a gap.
struct Resolution {
  int cells_per_gap = 8;     ///< at least this many cells across every gap
  int cells_per_sheet = 2;   ///< at least this many cells across every solid
  int cells_per_medium = 12; ///< at least this many cells across every fin medium
  double growth = 1.2;       ///< largest ratio of neighbouring widths
  double wall_cell = 0.0;    ///< largest cell at a wall or solid surface [m]
  double largest_cell = 0.0; ///< largest cell anywhere [m]
};

struct TensorMesh {
  Axis x;
  Axis y;
  std::vector<int> region;   ///< per cell: 0 air, k + 1 the section's solid k
  std::vector<int> medium{}; ///< per cell: 0 none, k + 1 the section's fin medium k (its region is
                             ///< air); empty: no medium anywhere
  DepthRatio depth{};        ///< of the section

  [[nodiscard]] int n_cells() const { return x.n() * y.n(); }
  [[nodiscard]] int n_nodes() const { return (x.n() + 1) * (y.n() + 1); }
  [[nodiscard]] int cell(int i, int j) const { return j * x.n() + i; }
  [[nodiscard]] int node(int i, int j) const { return j * (x.n() + 1) + i; }
  [[nodiscard]] int medium_at(int cell) const { return medium.empty() ? 0 : medium[index(cell)]; }
  /// Neither solid nor medium.
  [[nodiscard]] bool is_clear(int cell) const {
    return region[index(cell)] == 0 && medium_at(cell) == 0;
  }
  [[nodiscard]] bool is_air(int i, int j) const { return region[index(cell(i, j))] == 0; }
  /// The depth's ratio in the middle of a row of cells, and on a line between two rows.
  [[nodiscard]] double row_depth(int j) const { return depth.at(y.centre(j)); }
  [[nodiscard]] double line_depth(int j) const { return depth.at(y.at(j)); }
  /// Area of a face of row j across x, and of a face in column i on line j across y, per metre of
  /// Section::depth [m].
  [[nodiscard]] double x_face_area(int j) const { return y.width(j) * row_depth(j); }
  [[nodiscard]] double y_face_area(int i, int j) const { return x.width(i) * line_depth(j); }
  /// Volume of a cell per metre of Section::depth [m2].
  [[nodiscard]] double volume(int i, int j) const { return x.width(i) * y.width(j) * row_depth(j); }
  [[nodiscard]] double volume(int cell) const { return volume(cell % x.n(), cell / x.n()); }
};

/// Replaces the "choose" zeros of `wanted` by the values described at Resolution. Throws
/// std::invalid_argument when a count is below 1, growth below 1, or a length negative.
[[nodiscard]] Resolution settle(const Section& section, const Resolution& wanted);

/// The settled resolution with all cells `factor` times as wide, by the same map of the lines;
/// whole numbers of cells are rounded and stay at least 1. Throws what settle throws.
[[nodiscard]] Resolution with_cells_scaled(const Section& section, const Resolution& wanted,
                                           double factor);

/// The grid of `section` at `level` (0: as wanted, 1: half the cells each way, 2: a quarter).
/// Lines closer than 1e-9 m are one. Throws what check(section), settle and make_axis throw.
[[nodiscard]] TensorMesh make_mesh(const Section& section, const Resolution& wanted, int level = 0);

/// Labels connected air regions (through faces): -1 for solid cells, else 0, 1, ...
[[nodiscard]] std::vector<int> air_regions(const TensorMesh& mesh);

/// The mesh whose cells are `ratio` times as wide as those of level 0: level 1 for 2.
[[nodiscard]] TensorMesh make_coarse_mesh(const Section& section, const Resolution& resolution,
                                          double ratio);

} // namespace tiltfin
