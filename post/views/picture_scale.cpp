#include "post/views/picture_scale.hpp"

#include "post/numbers/flows.hpp"
#include "post/views/streamlines.hpp"
#include "solver/bounds.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// Over the cells that have any part in `seen`.
void widen_to(PictureScale& scale, const SeenFlow& flow, const Rectangle& seen) {
  const TensorMesh& mesh = flow.mesh;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (mesh.x.at(i + 1) <= seen.x0 || mesh.x.at(i) >= seen.x1 || mesh.y.at(j + 1) <= seen.y0 ||
          mesh.y.at(j) >= seen.y1) {
        continue;
      }
      const double here = flow.state.temperature[index(mesh.cell(i, j))];
      scale.coldest = std::min(scale.coldest, here);
      scale.hottest = std::max(scale.hottest, here);
    }
  }
}

/// The number 1, 2 or 5 times a power of ten whose ratio to `value` (positive) is nearest to 1.
double nearest_round(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  constexpr std::array<double, 4> leads{1.0, 2.0, 5.0, 10.0};
  const double lead = value / power;
  return power * *std::ranges::min_element(
                     leads, {}, [lead](double own) { return std::abs(std::log(own / lead)); });
}

} // namespace

Rectangle seen_part(const Section& section, double margin) {
  if (!section.machine) {
    return {0.0, section.width, 0.0, section.height};
  }
  const Rectangle& machine = *section.machine;
  const double around = margin * std::max(machine.width(), machine.height());
  return {std::max(0.0, machine.x0 - around), std::min(section.width, machine.x1 + around),
          std::max(0.0, machine.y0 - around), std::min(section.height, machine.y1 + around)};
}

PictureScale scale_of(const Section& section, const SeenFlow& flow, const Rectangle& seen) {
  PictureScale scale;
  widen_to(scale, flow, seen);
  // What is colder than all surroundings is an error of coarse cells, which the report tells.
  const double outside = coldest_outside(section.sides);
  if (std::isfinite(outside)) {
    scale.coldest = std::clamp(outside, scale.coldest, scale.hottest);
  }
  const double missing = 0.1 - (scale.hottest - scale.coldest);
  if (missing > 0.0) {
    scale.coldest -= 0.5 * missing;
    scale.hottest += 0.5 * missing;
  }
  constexpr double wanted = 20.0; // lines in the machine
  constexpr double most = 50.0;   // in all that is seen
  const double span =
      std::max(psi_span(flow.mesh, flow.state, section.machine.value_or(seen)) / wanted,
               psi_span(flow.mesh, flow.state, seen) / most);
  if (span > 0.0) {
    scale.line_g_per_s = nearest_round(grams_per_kg * flow.air_density * section.depth * span);
  }
  return scale;
}

PictureScale common_scale(const PictureScale& a, const PictureScale& b) {
  return {.coldest = std::min(a.coldest, b.coldest),
          .hottest = std::max(a.hottest, b.hottest),
          .line_g_per_s = std::max(a.line_g_per_s, b.line_g_per_s)};
}

} // namespace tiltfin
