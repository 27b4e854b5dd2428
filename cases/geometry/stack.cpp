#include "cases/geometry/stack.hpp"

#include "cases/geometry/section_parts.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

/// The part of the base from which a column at y0 to y1 takes its heat.
Rectangle foot_of_column(const Rectangle& base, double y0, double y1) {
  const double length = y1 - y0;
  const double low = std::max(base.y0, std::min(y0, base.y1 - length));
  return {base.x0, base.x1, low, low + length};
}

void add_columns(Section& section, const Stack& stack, int plate) {
  const Rectangle base = section.solids[static_cast<std::size_t>(section.base)].extent;
  const Rectangle extent = section.solids.back().extent;
  const auto n_columns = static_cast<double>(stack.column_positions.size());
  for (std::size_t k = 0; k < stack.column_positions.size(); ++k) {
    const double centre = extent.y0 + stack.column_positions[k];
    const double y0 = centre - 0.5 * stack.column_width;
    const double y1 = centre + 0.5 * stack.column_width;
    section.links.push_back({fmt::format("column-{} plate-{}", k + 1, plate), section.base,
                             foot_of_column(base, y0, y1),
                             static_cast<int>(section.solids.size()) - 1,
                             Rectangle{extent.x0, extent.x1, y0, y1},
                             stack.plate_conductance / n_columns / stack.mount.depth});
  }
}

void check_columns(const Stack& stack) {
  if (stack.column_width > std::min(stack.mount.base_length, stack.plate_length) + nanometre) {
    throw DoesNotFit(
        fmt::format("found columns {:.6g} mm wide, allowed at most the base and the plate ({:.6g} "
                    "and {:.6g} mm)",
                    1000.0 * stack.column_width, 1000.0 * stack.mount.base_length,
                    1000.0 * stack.plate_length));
  }
  const double half = 0.5 * stack.column_width;
  for (const double position : stack.column_positions) {
    if (position - half < -nanometre || position + half > stack.plate_length + nanometre) {
      throw DoesNotFit(fmt::format("found a column at {} on the plate, allowed {} (the plate)",
                                   show_range(position - half, position + half, 0.0),
                                   show_range(0.0, stack.plate_length, 0.0)));
    }
  }
}

} // namespace

const KeyTable& stack_keys() {
  static const KeyTable keys = joined(
      joined(mount_keys(), chip_depth_keys()),
      {{.name = "base_length_mm", .bounds = length_above_zero(), .meaning = "of the base, along y"},
       {.name = "depth_mm",
        .bounds = length_above_zero(),
        .meaning = "of base and plates out of the plane"},
       {.name = "plates", .bounds = whole(1, most_plates), .meaning = "their number"},
       {.name = "plate_thickness_mm", .bounds = length_above_zero(), .meaning = "of each, along x"},
       {.name = "plate_gap_mm", .bounds = gap_length(), .meaning = "clear air between two plates"},
       {.name = "plate_length_mm", .bounds = length_above_zero(), .meaning = "of each, along y"},
       {.name = "first_gap_mm",
        .bounds = gap_length(),
        .without = "plate_gap_mm",
        .meaning = "clear air between the base and the first plate"},
       {.name = "conductance_w_per_k",
        .bounds = conductance(),
        .meaning = "from the base to each plate, through all columns"},
       {.name = "column_positions_mm",
        .bounds = length_of_zero_or_more(),
        .allowed = "a list of 1 to 20 numbers of 0 or more",
        .meaning = "centres of the columns above the plates' lower end"},
       {.name = "column_width_mm", .bounds = length_above_zero(), .meaning = "of each, along y"}});
  return keys;
}

Stack read_stack(const TomlTable& table, const Board& board) {
  Stack stack;
  stack.mount = read_mount(table, board);
  stack.mount.base_length = length(table, "base_length_mm");
  stack.mount.depth = length(table, "depth_mm");
  read_chip_depth(table, stack.mount);
  stack.plates = whole_number(table, "plates");
  stack.plate_thickness = length(table, "plate_thickness_mm");
  stack.plate_length = length(table, "plate_length_mm");
  stack.plate_gap = length(table, "plate_gap_mm");
  stack.first_gap = stack.plate_gap;
  if (find(table, "first_gap_mm") != nullptr) {
    stack.first_gap = length(table, "first_gap_mm");
  } else {
    note_default(table, "first_gap_mm", show(1000.0 * stack.plate_gap));
  }
  stack.plate_conductance = number(table, "conductance_w_per_k");
  for (const double position : numbers(table, "column_positions_mm", 1, 20)) {
    stack.column_positions.push_back(position / 1000.0);
  }
  stack.column_width = length(table, "column_width_mm");
  return stack;
}

Section section_of(const Stack& stack, const Board& board, const Enclosure& enclosure,
                   const Walls& walls) {
  check_columns(stack);
  MountedSection mounted = mounted_section(stack.mount, board, enclosure, walls);
  for (int k = 0; k < stack.plates; ++k) {
    const double x0 =
        mounted.base_face + stack.first_gap + k * (stack.plate_thickness + stack.plate_gap);
    add_solid(mounted.section, fmt::format("plate-{}", k + 1),
              centred(x0, x0 + stack.plate_thickness, mounted.centre, stack.plate_length),
              stack.mount.conductivity, Role::fin, stack.mount.emissivity);
    add_columns(mounted.section, stack, k + 1);
  }
  return checked_section(std::move(mounted), stack.mount, board, enclosure);
}

std::vector<std::string> notes_of(const Stack& /*stack*/) {
  return {
      "The columns carry heat from the base to each plate but do not block the air (optimistic)."};
}

bool has_media(const Stack& /*stack*/) {
  return false;
}

Metal metal_of(const Stack& stack) {
  const double base = stack.mount.base_thickness * stack.mount.base_length * stack.mount.depth;
  const double plates =
      stack.plates * stack.plate_thickness * stack.plate_length * stack.mount.depth;
  Metal metal = metal_of_volume(stack.mount, base + plates);
  metal.leaves_out = "columns";
  return metal;
}

FinArray fins_of(const Stack& stack) {
  FinArray array;
  array.kind = FinKind::plates;
  array.count = stack.plates;
  array.thickness = stack.plate_thickness;
  array.gap = stack.plate_gap;
  array.length = stack.plate_length;
  array.first_gap = stack.first_gap == stack.plate_gap ? 0.0 : stack.first_gap;
  array.outer = array.count * array.thickness + (array.count - 1) * array.gap +
                (array.first_gap > 0.0 ? array.first_gap : array.gap);
  return array;
}

void set_fins(const Stack& /*stack*/, TomlValue& table, const FinArray& fins) {
  set_number(table, "plates", fins.count);
  set_number(table, "plate_thickness_mm", rounded_mm(fins.thickness));
  set_number(table, "plate_gap_mm", rounded_mm(fins.gap));
  if (fins.first_gap == 0.0) {
    remove_entry(table, "first_gap_mm");
  }
}

} // namespace tiltfin
