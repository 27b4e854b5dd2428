#include "post/numbers/cooler_outline.hpp"

#include "mesh/index.hpp"

#include <algorithm>

namespace tiltfin {
namespace {

Rectangle around(const std::optional<Rectangle>& box, const Rectangle& r) {
  return box ? Rectangle{std::min(box->x0, r.x0), std::max(box->x1, r.x1), std::min(box->y0, r.y0),
                         std::max(box->y1, r.y1)}
             : r;
}

} // namespace

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

OutlinedCells::OutlinedCells(const Section& section, const CoolerOutline& cooler,
                             const TensorMesh& mesh)
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

OutlinedCells::OutlinedCells(const Rectangle& extent, const TensorMesh& mesh)
    : mesh_(mesh), is_own_(index(mesh.n_cells()), 0) {
  add(extent);
}

void OutlinedCells::add(const Rectangle& extent) {
  for (int j = nearest_face(mesh_.y, extent.y0); j < nearest_face(mesh_.y, extent.y1); ++j) {
    for (int i = nearest_face(mesh_.x, extent.x0); i < nearest_face(mesh_.x, extent.x1); ++i) {
      is_own_[index(mesh_.cell(i, j))] = 1;
    }
  }
}

bool OutlinedCells::is_own(int i, int j) const {
  return i >= 0 && j >= 0 && i < mesh_.x.n() && j < mesh_.y.n() &&
         is_own_[index(mesh_.cell(i, j))] != 0;
}

} // namespace tiltfin
