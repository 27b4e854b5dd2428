#include "mesh/tensor_mesh.hpp"

#include "mesh/index.hpp"
#include "mesh/mesh_error.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr double hairline_gap = 0.2e-3; ///< gaps below do not choose the wall cell [m]
constexpr int cells_per_side_at_walls = 40;
constexpr int cells_per_side = 20;

/// What an axis is built from.
struct Lines {
  std::vector<Break> breaks;
  std::vector<double> caps;
};

bool wants_wall_cell(const Side& side) {
  return is_wall(side.kind) && side.kind != SideKind::symmetry;
}

/// Solid edges and closed sides want the wall cell; other lines take what the mesh has there.
std::vector<Break> all_lines(const Section& section, const Resolution& settled, bool along_x) {
  const auto side_size = [&](SideName name) {
    return wants_wall_cell(section.sides[name]) ? settled.wall_cell : settled.largest_cell;
  };
  std::vector<Break> lines{
      Break{0.0, side_size(along_x ? west : south)},
      Break{along_x ? section.width : section.height, side_size(along_x ? east : north)}};
  const auto add = [&](const Rectangle& r, double size) {
    lines.push_back(Break{along_x ? r.x0 : r.y0, size});
    lines.push_back(Break{along_x ? r.x1 : r.y1, size});
  };
  for (const Solid& solid : section.solids) {
    add(solid.extent, settled.wall_cell);
  }
  for (const FinMedium& medium : section.media) {
    add(medium.extent, settled.wall_cell);
  }
  for (const Opening& opening : section.openings) {
    add(opening.line, settled.largest_cell);
  }
  for (const Grille& grille : section.grilles) {
    add(grille.line, settled.largest_cell);
  }
  if (section.machine) {
    add(*section.machine, settled.largest_cell);
  }
  return lines;
}

/// Lines in the same place become one, with the smaller size; the ends stay exact.
std::vector<Break> merge(std::vector<Break> lines, double length) {
  std::sort(lines.begin(), lines.end(),
            [](const Break& a, const Break& b) { return a.position < b.position; });
  std::vector<Break> merged;
  for (const Break& line : lines) {
    if (merged.empty() || line.position > merged.back().position + same_length) {
      merged.push_back(line);
    } else {
      merged.back().size = std::min(merged.back().size, line.size);
    }
  }
  merged.front().position = 0.0;
  merged.back().position = length;
  return merged;
}

void lower_caps(Lines& lines, double low, double high, double cap) {
  for (std::size_t k = 0; k < lines.caps.size(); ++k) {
    if (lines.breaks[k].position >= low - same_length &&
        lines.breaks[k + 1].position <= high + same_length) {
      lines.caps[k] = std::min(lines.caps[k], cap);
    }
  }
}

Lines lines_of(const Section& section, const Resolution& settled, const std::vector<Gap>& gaps,
               bool along_x) {
  Lines lines;
  lines.breaks =
      merge(all_lines(section, settled, along_x), along_x ? section.width : section.height);
  lines.caps.assign(lines.breaks.size() - 1, settled.largest_cell);
  for (const Gap& gap : gaps) {
    if (gap.across_x == along_x) {
      const Rectangle& r = gap.extent;
      lower_caps(lines, along_x ? r.x0 : r.y0, along_x ? r.x1 : r.y1,
                 gap.size() / settled.cells_per_gap);
    }
  }
  const auto fill = [&](const Rectangle& r, int cells) {
    lower_caps(lines, along_x ? r.x0 : r.y0, along_x ? r.x1 : r.y1,
               (along_x ? r.width() : r.height()) / cells);
  };
  for (const Solid& solid : section.solids) {
    fill(solid.extent, settled.cells_per_sheet);
  }
  for (const FinMedium& medium : section.media) {
    fill(medium.extent, settled.cells_per_medium);
  }
  balance_sizes(lines.breaks, lines.caps, settled.growth);
  return lines;
}

void check_resolution(const Resolution& wanted) {
  const auto require = [](bool holds, const char* sentence) {
    if (!holds) {
      throw std::invalid_argument(sentence);
    }
  };
  require(wanted.cells_per_gap >= 1, "The number of cells per gap must be at least 1.");
  require(wanted.cells_per_sheet >= 1, "The number of cells per sheet must be at least 1.");
  require(wanted.cells_per_medium >= 1, "The number of cells per medium must be at least 1.");
  require(wanted.growth >= 1.0 && std::isfinite(wanted.growth),
          "The growth ratio of the mesh must be at least 1.");
  require(wanted.wall_cell >= 0.0 && std::isfinite(wanted.wall_cell),
          "The largest cell at a wall must be positive, or 0 to have it chosen.");
  require(wanted.largest_cell >= 0.0 && std::isfinite(wanted.largest_cell),
          "The largest cell of the mesh must be positive, or 0 to have it chosen.");
}

Resolution settle_with(const Section& section, const Resolution& wanted,
                       const std::vector<Gap>& gaps) {
  check_resolution(wanted);
  const double longer = std::max(section.width, section.height);
  Resolution settled = wanted;
  if (settled.largest_cell <= 0.0) {
    settled.largest_cell = longer / cells_per_side;
  }
  if (settled.wall_cell <= 0.0) {
    settled.wall_cell = longer / cells_per_side_at_walls;
    for (const Gap& gap : gaps) {
      if (gap.size() >= hairline_gap) {
        settled.wall_cell = std::min(settled.wall_cell, gap.size() / settled.cells_per_gap);
      }
    }
  }
  settled.wall_cell = std::min(settled.wall_cell, settled.largest_cell);
  return settled;
}

/// Sets the cells of a rectangle to `value`.
void paint(const TensorMesh& mesh, const Rectangle& r, int value, std::vector<int>& cells) {
  const int i_end = face_at(mesh.x, r.x1);
  const int j_end = face_at(mesh.y, r.y1);
  for (int j = face_at(mesh.y, r.y0); j < j_end; ++j) {
    for (int i = face_at(mesh.x, r.x0); i < i_end; ++i) {
      cells[index(mesh.cell(i, j))] = value;
    }
  }
}

/// Gives the air region of `start` the number `label`, through the faces between air cells.
void flood(const TensorMesh& mesh, std::vector<int>& labels, int start, int label) {
  const int nx = mesh.x.n();
  const int ny = mesh.y.n();
  std::vector<int> pending{start};
  labels[index(start)] = label;
  const auto visit = [&](int i, int j) {
    if (i < 0 || i >= nx || j < 0 || j >= ny || !mesh.is_air(i, j)) {
      return;
    }
    int& mark = labels[index(mesh.cell(i, j))];
    if (mark < 0) {
      mark = label;
      pending.push_back(mesh.cell(i, j));
    }
  };
  while (!pending.empty()) {
    const int i = pending.back() % nx;
    const int j = pending.back() / nx;
    pending.pop_back();
    visit(i - 1, j);
    visit(i + 1, j);
    visit(i, j - 1);
    visit(i, j + 1);
  }
}

} // namespace

Resolution settle(const Section& section, const Resolution& wanted) {
  return settle_with(section, wanted, find_gaps(section));
}

Resolution with_cells_scaled(const Section& section, const Resolution& wanted, double factor) {
  Resolution result = settle(section, wanted);
  const auto scaled = [factor](int n) {
    return std::max(1, static_cast<int>(std::lround(n / factor)));
  };
  result.wall_cell *= factor;
  result.largest_cell *= factor;
  result.growth = std::pow(result.growth, factor);
  result.cells_per_gap = scaled(result.cells_per_gap);
  result.cells_per_sheet = scaled(result.cells_per_sheet);
  result.cells_per_medium = scaled(result.cells_per_medium);
  return result;
}

TensorMesh make_mesh(const Section& section, const Resolution& wanted, int level) {
  check(section);
  const std::vector<Gap> gaps = find_gaps(section);
  const Resolution settled = settle_with(section, wanted, gaps);
  const Lines x = lines_of(section, settled, gaps, true);
  const Lines y = lines_of(section, settled, gaps, false);
  TensorMesh mesh;
  mesh.depth = depth_ratio(section);
  mesh.x = make_axis(x.breaks, x.caps, settled.growth, level);
  mesh.y = make_axis(y.breaks, y.caps, settled.growth, level);
  if (static_cast<double>(mesh.x.n()) * mesh.y.n() > 1e8) {
    throw MeshError("The cell sizes wanted are too small: more than a hundred million "
                    "cells would be needed.");
  }
  mesh.region.assign(index(mesh.n_cells()), 0);
  for (std::size_t k = 0; k < section.solids.size(); ++k) {
    paint(mesh, section.solids[k].extent, static_cast<int>(k) + 1, mesh.region);
  }
  if (!section.media.empty()) {
    mesh.medium.assign(mesh.region.size(), 0);
  }
  for (std::size_t k = 0; k < section.media.size(); ++k) {
    paint(mesh, section.media[k].extent, static_cast<int>(k) + 1, mesh.medium);
  }
  return mesh;
}

std::vector<int> air_regions(const TensorMesh& mesh) {
  std::vector<int> labels(mesh.region.size(), -1);
  int n_regions = 0;
  for (int c = 0; c < mesh.n_cells(); ++c) {
    if (mesh.region[index(c)] == 0 && labels[index(c)] < 0) {
      flood(mesh, labels, c, n_regions);
      ++n_regions;
    }
  }
  return labels;
}

TensorMesh make_coarse_mesh(const Section& section, const Resolution& resolution, double ratio) {
  return ratio == 2.0 ? make_mesh(section, resolution, 1)
                      : make_mesh(section, with_cells_scaled(section, resolution, ratio));
}

} // namespace tiltfin
