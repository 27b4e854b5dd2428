#include "cases/geometry/block.hpp"

#include "cases/geometry/section_parts.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace tiltfin {
namespace {

/// The length over which the fins follow one another, from `key` or from fin_gap_mm.
double read_fin_pitch(const TomlTable& table, const std::string& key, const Block& block) {
  const bool has_gap = find(table, "fin_gap_mm") != nullptr;
  const bool has_length = find(table, key) != nullptr;
  if (has_gap == has_length) {
    refuse(table, "fin_gap_mm", has_gap ? "both fin_gap_mm and " + key : "neither",
           "either fin_gap_mm or " + key);
  }
  const double metal = block.fins * block.fin_thickness;
  if (has_gap) {
    return metal + (block.fins - 1) * length(table, "fin_gap_mm");
  }
  const double extent = length(table, key);
  if (metal >= extent) {
    refuse(table, key, show(1000.0 * extent),
           fmt::format("more than the fins' thicknesses together, {:.6g}", 1000.0 * metal));
  }
  return extent;
}

} // namespace

const KeyTable& block_keys() {
  static const KeyTable keys =
      joined(joined(mount_keys(), chip_depth_keys()),
             {{.name = "base_length_mm",
               .bounds = length_above_zero(),
               .without = "from fin_gap_mm, with fins that run across",
               .meaning = "along y"},
              {.name = "depth_mm",
               .bounds = length_above_zero(),
               .without = "from fin_gap_mm, with fins that run along",
               .meaning = "of base and fins out of the plane"},
              {.name = "fins", .bounds = whole(1, most_fins), .meaning = "their number"},
              {.name = "fins_run",
               .options = {"across", "along"},
               .fallback = "across",
               .meaning = "out of the plane, or along y"},
              {.name = "fin_thickness_mm", .bounds = length_above_zero(), .meaning = "of each"},
              {.name = "fin_height_mm", .bounds = length_above_zero(), .meaning = "along x"},
              {.name = "fin_gap_mm",
               .bounds = gap_length(),
               .without = "from base_length_mm (across) or depth_mm (along)",
               .meaning = "clear air between two fins"}});
  return keys;
}

Block read_block(const TomlTable& table, const Board& board) {
  Block block;
  block.mount = read_mount(table, board);
  block.along = choice(table, "fins_run") == "along";
  block.fins = whole_number(table, "fins", whole(block.along ? 2 : 1, most_fins));
  block.fin_thickness = length(table, "fin_thickness_mm");
  block.fin_height = length(table, "fin_height_mm");
  if (block.along) {
    block.mount.base_length = length(table, "base_length_mm");
    block.mount.depth = read_fin_pitch(table, "depth_mm", block);
  } else {
    block.mount.depth = length(table, "depth_mm");
    block.mount.base_length = read_fin_pitch(table, "base_length_mm", block);
  }
  const double row = block.along ? block.mount.depth : block.mount.base_length;
  block.fin_gap = (row - block.fins * block.fin_thickness) / std::max(1, block.fins - 1);
  read_chip_depth(table, block.mount);
  return block;
}

Section section_of(const Block& block, const Board& board, const Enclosure& enclosure,
                   const Walls& walls) {
  MountedSection mounted = mounted_section(block.mount, board, enclosure, walls);
  const double length = block.mount.base_length;
  const double face = mounted.base_face;
  const double tip = face + block.fin_height;
  if (block.along) {
    FinMedium fins;
    fins.name = "fins";
    fins.extent = centred(face, tip, mounted.centre, length);
    fins.gap = block.fin_gap;
    fins.fin_thickness = block.fin_thickness;
    fins.conductivity = block.mount.conductivity;
    fins.emissivity = block.mount.emissivity;
    mounted.section.media.push_back(fins);
  } else {
    const double pitch = block.fins > 1 ? (length - block.fin_thickness) / (block.fins - 1) : 0.0;
    const double row = block.fins > 1 ? length : block.fin_thickness;
    const double south_end = mounted.centre - 0.5 * row;
    for (int k = 0; k < block.fins; ++k) {
      const double y0 = south_end + k * pitch;
      add_solid(mounted.section, fmt::format("fin-{}", k + 1),
                {face, tip, y0, y0 + block.fin_thickness}, block.mount.conductivity, Role::fin,
                block.mount.emissivity);
    }
  }
  return checked_section(std::move(mounted), block.mount, board, enclosure);
}

std::vector<std::string> notes_of(const Block& block) {
  if (block.along) {
    return {fmt::format(
        "The fins run along y, so the section shows their faces (it answers for every gravity in "
        "its plane): {} fins with gaps of {:.4g} mm are a medium of metal and air. Flow across the "
        "edges of the bundle out of the plane is left out, and so are its outer two faces and what "
        "they radiate (both pessimistic).",
        block.fins, 1000.0 * block.fin_gap)};
  }
  return {"The fins run out of the plane, so the section cuts them edge-on, each drawn by itself; "
          "flow along them is not computed (pessimistic)."};
}

bool has_media(const Block& block) {
  return block.along;
}

Metal metal_of(const Block& block) {
  const FinArray fins = fins_of(block);
  const double run = block.along ? fins.length : block.mount.depth; // of a fin
  const double base = block.mount.base_thickness * fins.outer * run;
  return metal_of_volume(block.mount, base + fins.count * fins.thickness * fins.height * run);
}

FinArray fins_of(const Block& block) {
  FinArray array;
  array.kind = block.along ? FinKind::along : FinKind::across;
  array.count = block.fins;
  array.thickness = block.fin_thickness;
  array.gap = block.fin_gap;
  array.height = block.fin_height;
  array.outer = block.along ? block.mount.depth : block.mount.base_length;
  array.length = block.along ? block.mount.base_length : 0.0;
  return array;
}

void set_fins(const Block& block, TomlValue& table, const FinArray& fins) {
  set_number(table, "fins", fins.count);
  set_number(table, "fin_thickness_mm", rounded_mm(fins.thickness));
  set_number(table, "fin_height_mm", rounded_mm(fins.height));
  remove_entry(table, "fin_gap_mm");
  set_number(table, block.along ? "depth_mm" : "base_length_mm", rounded_mm(fins.outer));
}

} // namespace tiltfin
