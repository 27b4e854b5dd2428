#include "cases/geometry/ring.hpp"

#include <fmt/format.h>

#include <numbers>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

/// Of a ring's section [m].
double ring_depth(const Ring& ring) {
  const double mean_diameter = 0.5 * (ring.mount.base_length + ring.outer_diameter);
  return 0.5 * std::numbers::pi * mean_diameter;
}

} // namespace

const KeyTable& ring_keys() {
  static const KeyTable keys = joined(
      mount_keys(),
      {{.name = "core_diameter_mm",
        .bounds = length_above_zero(),
        .meaning = "of base and core, whose axis is along x"},
       {.name = "outer_diameter_mm", .bounds = length_above_zero(), .meaning = "of the fins"},
       {.name = "fins", .bounds = whole(4, 400), .meaning = "their number all round"},
       {.name = "fin_thickness_mm", .bounds = length_above_zero(), .meaning = "of each"},
       {.name = "fin_height_mm",
        .bounds = length_above_zero(),
        .meaning = "along x, of the core too, above the base"},
       {.name = "chip_depth_mm",
        .bounds = length_above_zero(),
        .without = "chip_length_mm",
        .meaning = "of the chip out of the plane, for a ring that lies flat"},
       {.name = "fan_sections",
        .bounds = whole(1, 8),
        .fallback = 3.0,
        .meaning = "turned about the axis that stand for it where gravity has a part across the "
                   "axis; 1: all fins as if they stood vertical"}});
  return keys;
}

Ring read_ring(const TomlTable& table, const Board& board) {
  Ring ring;
  ring.mount = read_mount(table, board);
  ring.mount.base_length = length(table, "core_diameter_mm");
  ring.outer_diameter = length(table, "outer_diameter_mm");
  if (ring.outer_diameter <= ring.mount.base_length) {
    refuse(table, "outer_diameter_mm", show(1000.0 * ring.outer_diameter),
           fmt::format("more than core_diameter_mm = {}", show(1000.0 * ring.mount.base_length)));
  }
  ring.fins = whole_number(table, "fins");
  ring.fin_thickness = length(table, "fin_thickness_mm");
  ring.fin_height = length(table, "fin_height_mm");
  ring.fan_sections = whole_number(table, "fan_sections");
  ring.mount.depth = ring_depth(ring);
  ring.chip_depth = length_or(table, "chip_depth_mm", 1000.0 * ring.mount.chip.length);
  return ring;
}

Section section_of(const Ring& ring, const Board& board, const Enclosure& enclosure,
                   const Walls& walls) {
  const double core = 0.5 * ring.mount.base_length;
  const double rim = 0.5 * ring.outer_diameter;
  const double pitch_growth = 2.0 * std::numbers::pi / ring.fins;
  if (pitch_growth * core <= ring.fin_thickness) {
    throw DoesNotFit(fmt::format(
        "found {} fins of {:.6g} mm at a core of {:.6g} mm round, allowed fins that leave "
        "air between them",
        ring.fins, 1000.0 * ring.fin_thickness, 2000.0 * std::numbers::pi * core));
  }
  Mount mount = ring.mount;
  mount.depth = ring_depth(ring);
  MountedSection mounted = mounted_section(mount, board, enclosure, walls);
  Section& section = mounted.section;
  const double face = mounted.base_face + ring.fin_height;
  section.solids.back().extent.x1 = face;
  FinMedium fins;
  fins.fin_thickness = ring.fin_thickness;
  fins.gap = pitch_growth * 0.5 * (core + rim) - ring.fin_thickness;
  fins.conductivity = ring.mount.conductivity;
  fins.emissivity = ring.mount.emissivity;
  fins.name = "fins-south";
  fins.extent = {mounted.base_face, face, mounted.centre - rim, mounted.centre - core};
  fins.gap_growth = -pitch_growth;
  section.media.push_back(fins);
  fins.name = "fins-north";
  fins.extent = {mounted.base_face, face, mounted.centre + core, mounted.centre + rim};
  fins.gap_growth = pitch_growth;
  section.media.push_back(fins);
  return checked_section(std::move(mounted), mount, board, enclosure);
}

std::vector<std::string> notes_of(const Ring& ring) {
  const std::string shape = fmt::format(
      "The fins stand radially round an axis along x, so the section through the axis shows "
      "their faces. It is plane where the ring is round: the depth of {:.4g} mm is half the mean "
      "circumference of the fins, {} of which stand for the half above the axis and {} for that "
      "below.",
      1000.0 * ring.mount.depth, ring.fins / 2, ring.fins - ring.fins / 2);
  if (ring.fan_sections == 1) {
    return {shape, "Upright, the fins beside the axis, across whose faces the air would rise, are "
                   "taken like those above and below (fan_sections = 1: optimistic)."};
  }
  return {shape,
          fmt::format("Where gravity has a part across the axis, {} such sections stand for the "
                      "ring, each turned about the axis by an angle from the vertical plane: it "
                      "feels that angle's cosine of the part, and the power divides so that all "
                      "bases are equally warm. Case and room turn with each section, and air that "
                      "would rise across level fins is left out (pessimistic).",
                      ring.fan_sections)};
}

bool has_media(const Ring& /*ring*/) {
  return true;
}

Metal metal_of(const Ring& ring) {
  const double core = ring.mount.base_length;
  const double disc = 0.25 * std::numbers::pi * core * core;
  const double fin = ring.fin_thickness * ring.fin_height * 0.5 * (ring.outer_diameter - core);
  return metal_of_volume(ring.mount,
                         disc * (ring.mount.base_thickness + ring.fin_height) + ring.fins * fin);
}

NoFinArray fins_of(const Ring& /*ring*/) {
  return {"a cooler whose gap grows from its axis",
          "[block] or [stack], which have one gap; give [ring] other numbers of fins and solve "
          "each"};
}

} // namespace tiltfin
