#include "cases/geometry/level_surface.hpp"

#include "cases/geometry/section_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double steps_per_side = 20.0; // along the section's longer side
constexpr double least_rise = 0.4;      // of a step's length: flatter ones are longer in its place
constexpr double near_line = 0.3; // of a usual step: so near, an edge joins a line that is drawn
constexpr double sliver = 0.1;    // of a usual step: thinner ones are left out

/// Of an insulated surface: with a fortieth of the air's it conducts nothing that counts.
constexpr double no_conductivity = 1e-3; // [W/(m K)]

/// The section with the way along the steps as u and the way towards the surface as v.
struct StepFrame {
  bool is_turned = false; ///< u is y
  double length_u = 0.0;
  double length_v = 0.0;
  Rectangle machine; ///< its x is u
  double towards_u = 0.0;
  double towards_v = 0.0;
  std::vector<double> lines_u; ///< edges of what is drawn
  std::vector<double> lines_v;
};

Rectangle turned(const Rectangle& r) {
  return {r.y0, r.y1, r.x0, r.x1};
}

StepFrame frame_of(const LevelSurface& surface, const Section& section) {
  StepFrame frame;
  frame.is_turned = std::abs(surface.towards_x) > std::abs(surface.towards_y);
  const auto in_frame = [&](const Rectangle& r) { return frame.is_turned ? turned(r) : r; };
  const Rectangle all = in_frame({0.0, section.width, 0.0, section.height});
  frame.length_u = all.x1;
  frame.length_v = all.y1;
  frame.machine = in_frame(*section.machine);
  frame.towards_u = frame.is_turned ? surface.towards_y : surface.towards_x;
  frame.towards_v = frame.is_turned ? surface.towards_x : surface.towards_y;
  const auto add_lines = [&](const Rectangle& extent) {
    const Rectangle r = in_frame(extent);
    frame.lines_u.insert(frame.lines_u.end(), {r.x0, r.x1});
    frame.lines_v.insert(frame.lines_v.end(), {r.y0, r.y1});
  };
  for (const Solid& solid : section.solids) {
    add_lines(solid.extent);
  }
  for (const FinMedium& medium : section.media) {
    add_lines(medium.extent);
  }
  return frame;
}

/// The line nearest to `x` where that is within `reach`, else `x`.
double joined_to_line(double x, const std::vector<double>& lines, double reach) {
  const auto nearest_line =
      std::ranges::min_element(lines, {}, [x](double line) { return std::abs(line - x); });
  return nearest_line != lines.end() && std::abs(*nearest_line - x) < reach ? *nearest_line : x;
}

/// Ends of the steps, ascending, from the nearest corner at `corner` either way; within `reach` of
/// a line that is drawn, on it.
std::vector<double> step_ends(const StepFrame& frame, double corner, double step, double reach) {
  std::vector<double> ends{0.0, corner, frame.length_u};
  const auto add_towards = [&](double end, double sign) {
    for (double u = corner + sign * step; sign * (end - u) > 0.5 * step; u += sign * step) {
      ends.push_back(joined_to_line(u, frame.lines_u, reach));
    }
  };
  add_towards(frame.length_u, 1.0);
  add_towards(0.0, -1.0);
  std::ranges::sort(ends);
  const auto last =
      std::unique(ends.begin(), ends.end(), [](double a, double b) { return b - a < nanometre; });
  ends.erase(last, ends.end());
  return ends;
}

/// How a surface lies in the frame.
struct SurfaceLine {
  double corner_u = 0.0; ///< of the machine, nearest to it
  double corner_v = 0.0;
  double level = 0.0;  ///< of the surface, towards it
  bool is_low = false; ///< it lies at small v
};

SurfaceLine line_of(const LevelSurface& surface, const StepFrame& frame) {
  SurfaceLine line;
  line.is_low = frame.towards_v < 0.0;
  line.corner_u = frame.towards_u < 0.0 ? frame.machine.x0 : frame.machine.x1;
  line.corner_v = line.is_low ? frame.machine.y0 : frame.machine.y1;
  line.level = frame.towards_u * line.corner_u + frame.towards_v * line.corner_v + surface.distance;
  return line;
}

/// Where the step whose middle is at `u` ends towards the machine; beyond the section where there
/// is none, on its far side where it fills the section.
double edge_of_step(const StepFrame& frame, const SurfaceLine& line, double u, double usual) {
  double edge = (line.level - frame.towards_u * u) / frame.towards_v;
  // Beside the machine its lines go on; before it the distance is kept as it is.
  const bool is_beside = line.is_low ? edge > line.corner_v : edge < line.corner_v;
  if (is_beside) {
    edge = joined_to_line(edge, frame.lines_v, near_line * usual);
  }
  const double far_side = line.is_low ? frame.length_v : 0.0;
  const bool fills = line.is_low ? edge > far_side - sliver * usual : edge < sliver * usual;
  return fills ? far_side : edge;
}

void add_steps(const LevelSurface& surface, Section& section) {
  const StepFrame frame = frame_of(surface, section);
  const SurfaceLine line = line_of(surface, frame);
  const double usual = step_length(section);
  const double slope = std::abs(frame.towards_u / frame.towards_v); // at most 1
  const double step = usual * std::max(1.0, least_rise / slope);
  const std::vector<double> ends = step_ends(frame, line.corner_u, step, near_line * usual);
  int n = 0;
  for (std::size_t k = 0; k + 1 < ends.size(); ++k) {
    const double edge = edge_of_step(frame, line, 0.5 * (ends[k] + ends[k + 1]), usual);
    const double low = line.is_low ? 0.0 : edge;
    const double high = line.is_low ? edge : frame.length_v;
    if (high - low < sliver * usual) {
      continue;
    }
    const Rectangle extent{ends[k], ends[k + 1], low, high};
    add_solid(section, fmt::format("{}-{}", surface.name, ++n),
              frame.is_turned ? turned(extent) : extent, no_conductivity, Role::other,
              surface.emissivity);
  }
}

} // namespace

double step_length(const Section& section) {
  return std::max(section.width, section.height) / steps_per_side;
}

void add_level_surfaces(const Enclosure& enclosure, Section& section) {
  for (const LevelSurface& surface : enclosure.level) {
    add_steps(surface, section);
  }
  if (!enclosure.level.empty()) {
    snap_edges(section);
  }
}

std::vector<std::string> level_notes(const std::vector<Enclosure>& enclosures) {
  const bool any = std::ranges::any_of(
      enclosures, [](const Enclosure& enclosure) { return !enclosure.level.empty(); });
  if (!any) {
    return {};
  }
  return {fmt::format(
      "A level surface beside the tilted case is drawn as steps along the mesh, up to {:g} "
      "for the section's longer side, and ends where the section does.",
      steps_per_side)};
}

} // namespace tiltfin
