#pragma once
// One direction of a tensor-product grid: face coordinates, cell widths, cell centres, and the
// grading between break points. Lengths in m.

#include "mesh/index.hpp"

#include <span>
#include <vector>

namespace tiltfin {

struct Axis {
  std::vector<double> faces; ///< coordinates of the cell faces, ascending [m]

  [[nodiscard]] int n() const { return static_cast<int>(faces.size()) - 1; }
  [[nodiscard]] double width(int i) const { return at(i + 1) - at(i); }
  [[nodiscard]] double centre(int i) const { return 0.5 * (at(i) + at(i + 1)); }
  [[nodiscard]] double length() const { return faces.back() - faces.front(); }
  [[nodiscard]] double at(int i) const { return faces[index(i)]; }
};

/// A line that the mesh must contain, with the largest cell wanted next to it.
struct Break {
  double position = 0.0; ///< [m]
  double size = 0.0;     ///< width of the cells next to the line [m]
};

/// Faces between break points, graded: next to a break the cells have the width wanted there, away
/// from it they grow by at most the ratio `growth`, up to the cap of the segment; sampled from one
/// smooth map per segment. Within a segment neighbouring widths never differ by more than `growth`
/// at level 0, across a break not either if the sizes went through balance_sizes (see there).
///
/// `caps[k]` is the largest cell [m] between breaks k and k+1 (one fewer than breaks). Every
/// segment has an even number of cells at `level` 0, exactly half of it at level 1, and half of
/// that, rounded up, at level 2; so levels 0 and 1 are nested (bit by bit). The breaks are faces,
/// exactly. Mirrored breaks give mirrored faces, to rounding.
///
/// Throws std::invalid_argument when the breaks do not ascend, a size or cap is not positive, the
/// growth is below 1, or a segment would need more than a million cells.
[[nodiscard]] Axis make_axis(std::span<const Break> breaks, std::span<const double> caps,
                             double growth, int level);

/// Lowers the sizes of the breaks so that neighbouring segments fit together: none exceeds the caps
/// beside it, half a segment beside it, or another's size plus distance times (growth - 1); then
/// further, but at most by half, until an even number of cells fills every segment without being
/// smaller than the sizes at its ends. Where that half is not enough (chains of short segments of
/// unlike lengths), widths across a break may differ by up to a factor of two beyond the growth
/// ratio.
void balance_sizes(std::span<Break> breaks, std::span<const double> caps, double growth);

/// Index of the cell that contains `position` (clamped to the axis).
[[nodiscard]] int cell_at(const Axis& axis, double position);

/// Index of the face nearest to `position`.
[[nodiscard]] int face_at(const Axis& axis, double position);

} // namespace tiltfin
