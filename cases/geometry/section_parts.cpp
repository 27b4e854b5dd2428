#include "cases/geometry/section_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

namespace tiltfin {
namespace {

void snap(std::vector<double*> coordinates) {
  std::ranges::sort(coordinates, {}, [](const double* x) { return *x; });
  double group = 0.0;
  for (double* x : coordinates) {
    if (*x - group < nanometre && *x >= group - nanometre) {
      *x = group;
    } else {
      group = *x;
    }
  }
}

void add_corners(Rectangle& rectangle, std::vector<double*>& xs, std::vector<double*>& ys) {
  xs.insert(xs.end(), {&rectangle.x0, &rectangle.x1});
  ys.insert(ys.end(), {&rectangle.y0, &rectangle.y1});
}

} // namespace

void add_solid(Section& section, const std::string& name, const Rectangle& extent,
               double conductivity, Role role, double emissivity) {
  section.solids.push_back({name, extent, conductivity, conductivity, 0.0, role, emissivity, {}});
}

Rectangle centred(double x0, double x1, double centre, double length) {
  return {x0, x1, centre - 0.5 * length, centre + 0.5 * length};
}

std::string show_range(double a, double b, double origin) {
  const auto mm = [origin](double x) { return 1000.0 * (x - origin); };
  return fmt::format("{:.6g} to {:.6g} mm", mm(a), mm(b));
}

void snap_edges(Section& section) {
  std::vector<double*> xs{&section.width};
  std::vector<double*> ys{&section.height};
  for (Solid& solid : section.solids) {
    add_corners(solid.extent, xs, ys);
  }
  for (Link& link : section.links) {
    add_corners(link.patch_a, xs, ys);
    add_corners(link.patch_b, xs, ys);
  }
  for (Opening& opening : section.openings) {
    add_corners(opening.line, xs, ys);
  }
  for (FinMedium& medium : section.media) {
    add_corners(medium.extent, xs, ys);
  }
  for (Grille& grille : section.grilles) {
    add_corners(grille.line, xs, ys);
  }
  if (section.machine) {
    add_corners(*section.machine, xs, ys);
  }
  snap(xs);
  snap(ys);
}

} // namespace tiltfin
