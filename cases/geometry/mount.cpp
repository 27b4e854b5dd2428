#include "cases/geometry/mount.hpp"

#include "cases/geometry/finishes.hpp"
#include "cases/geometry/section_parts.hpp"
#include "post/numbers/spreading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

/// Where the cooler's parts lie in the section.
struct Places {
  double board_back = 0.0;
  double board_face = 0.0;
  double chip_face = 0.0;
  double base_face = 0.0;
  double board_low = 0.0;
  double centre = 0.0;
};

Places places_of(const Mount& mount, const Board& board, const Enclosure& enclosure) {
  const Rectangle inner = inner_outline(enclosure);
  Places places;
  places.board_back = inner.x0 + board.behind;
  places.board_face = places.board_back + board.thickness;
  places.chip_face = places.board_face + mount.chip.thickness;
  places.base_face = places.chip_face + mount.base_thickness;
  places.board_low = inner.y0 + board.bottom;
  places.centre = places.board_low + mount.centre;
  return places;
}

void check_range(const std::string& name, const char* direction, std::array<double, 2> range,
                 std::array<double, 2> allowed) {
  if (range[0] < allowed[0] - nanometre || range[1] > allowed[1] + nanometre) {
    throw DoesNotFit(fmt::format(
        "found {} at {} along {}, allowed {} (inside the case, from its {} wall)", name,
        show_range(range[0], range[1], allowed[0]), direction,
        show_range(allowed[0], allowed[1], allowed[0]), direction[0] == 'x' ? "west" : "south"));
  }
}

void check_fit(const Section& section, const Board& board, const Mount& mount,
               const Enclosure& enclosure) {
  const Rectangle inner = inner_outline(enclosure);
  const auto check_extent = [&inner](const std::string& name, const Rectangle& r) {
    check_range(name, "x", {r.x0, r.x1}, {inner.x0, inner.x1});
    check_range(name, "y", {r.y0, r.y1}, {inner.y0, inner.y1});
  };
  for (const Solid& solid : section.solids) {
    if (solid.role != Role::wall) {
      check_extent(solid.name, solid.extent);
    }
  }
  for (const FinMedium& medium : section.media) {
    check_extent(medium.name, medium.extent);
  }
  const double half = 0.5 * mount.chip.length;
  if (mount.centre - half < -nanometre || mount.centre + half > board.height + nanometre) {
    throw DoesNotFit(fmt::format("found a chip at {} on the board, allowed {} (the board)",
                                 show_range(mount.centre - half, mount.centre + half, 0.0),
                                 show_range(0.0, board.height, 0.0)));
  }
}

} // namespace

const KeyTable& board_keys() {
  static const KeyTable keys =
      joined({{.name = "thickness_mm", .bounds = length_above_zero(), .meaning = "along x"},
              {.name = "height_mm", .bounds = length_above_zero(), .meaning = "along y"},
              {.name = "depth_mm",
               .bounds = length_above_zero(),
               .without = "as it is high or the chip is deep, no more than the case",
               .meaning = "out of the plane; read by tiltfin ends and by a ring that lies flat"},
              {.name = "behind_mm",
               .bounds = length_of_zero_or_more(),
               .fallback = 5.0,
               .meaning = "air between the board's back and the case's west wall"},
              {.name = "bottom_mm",
               .bounds = length_of_zero_or_more(),
               .without = "in the middle of the case's height",
               .meaning = "of the board's lower end above the case's south wall"},
              {.name = "conductivity_through_w_per_mk",
               .bounds = conductivity(),
               .fallback = 0.35,
               .meaning = "of the board along x"},
              {.name = "conductivity_in_plane_w_per_mk",
               .bounds = conductivity(),
               .fallback = 20.0,
               .meaning = "of the board along y"}},
             finish_keys());
  return keys;
}

Board read_board(const TomlTable& table, const Enclosure& enclosure) {
  Board board;
  board.thickness = length(table, "thickness_mm");
  board.height = length(table, "height_mm");
  board.behind = length(table, "behind_mm");
  const double middle_mm = 500.0 * (enclosure.height - board.height);
  if (middle_mm < 0.0) {
    refuse(table, "height_mm", show(1000.0 * board.height),
           fmt::format("at most case.height_mm = {}", 1000.0 * enclosure.height));
  }
  board.bottom = length_or(table, "bottom_mm", middle_mm);
  if (find(table, "depth_mm") == nullptr) {
    note_without(table, "depth_mm");
  } else {
    board.depth = length(table, "depth_mm");
    if (enclosure.depth > 0.0 && board.depth > enclosure.depth) {
      refuse(table, "depth_mm", show(1000.0 * board.depth),
             fmt::format("at most case.depth_mm = {}", 1000.0 * enclosure.depth));
    }
  }
  board.conductivity_through = number(table, "conductivity_through_w_per_mk");
  board.conductivity_in_plane = number(table, "conductivity_in_plane_w_per_mk");
  board.emissivity = read_emissivity(table);
  return board;
}

const KeyTable& mount_keys() {
  static const KeyTable keys =
      joined({{.name = "chip_thickness_mm", .bounds = length_above_zero(), .meaning = "along x"},
              {.name = "chip_length_mm", .bounds = length_above_zero(), .meaning = "along y"},
              {.name = "chip_conductivity_w_per_mk",
               .bounds = conductivity(),
               .fallback = 120.0,
               .meaning = "of the chip"},
              {.name = "chip_to_base_m2k_per_w",
               .bounds = contact_resistance(),
               .fallback = 0.0,
               .meaning = "contact resistance"},
              {.name = "chip_to_board_m2k_per_w",
               .bounds = contact_resistance(),
               .fallback = default_chip_to_board,
               .meaning = "contact resistance; the default is a package on solder balls"},
              {.name = "base_thickness_mm", .bounds = length_above_zero(), .meaning = "along x"},
              {.name = "centre_mm",
               .bounds = length_of_zero_or_more(),
               .without = "the middle of the board's height",
               .meaning = "of the cooler above the board's lower end"},
              {.name = "conductivity_w_per_mk",
               .bounds = conductivity(),
               .fallback = 200.0,
               .meaning = "of base and fins"},
              {.name = "density_kg_per_m3",
               .bounds = solid_density(),
               .without = fmt::format("{}, aluminium", show(aluminium_density)),
               .meaning = "of base and fins, for the mass"}},
             finish_keys("of base and fins; a list compares several"));
  return keys;
}

const KeyTable& chip_depth_keys() {
  static const KeyTable keys{
      {.name = "chip_depth_mm",
       .bounds = length_above_zero(),
       .without = "the whole depth of the section",
       .meaning =
           "of the chip out of the plane: heat spreads from it in the base, and its contacts "
           "are no deeper"}};
  return keys;
}

void read_chip_depth(const TomlTable& table, Mount& mount) {
  if (find(table, "chip_depth_mm") == nullptr) {
    note_without(table, "chip_depth_mm");
    return;
  }
  mount.chip_depth = length(table, "chip_depth_mm");
  // As large as the base it may be, whatever the base's size was rounded to.
  const auto hold_within = [&](const std::string& key, double& size, double allowed) {
    if (size > allowed + nanometre) {
      refuse(table, key, show(1000.0 * size),
             fmt::format("at most the base's {} mm for heat to spread", show(1000.0 * allowed)));
    }
    size = std::min(size, allowed);
  };
  hold_within("chip_depth_mm", mount.chip_depth, mount.depth);
  hold_within("chip_length_mm", mount.chip.length, mount.base_length);
}

Mount read_mount(const TomlTable& table, const Board& board) {
  Mount mount;
  mount.chip.thickness = length(table, "chip_thickness_mm");
  mount.chip.length = length(table, "chip_length_mm");
  mount.chip.conductivity = number(table, "chip_conductivity_w_per_mk");
  mount.chip.to_base = number(table, "chip_to_base_m2k_per_w");
  mount.chip.to_board = number(table, "chip_to_board_m2k_per_w");
  mount.base_thickness = length(table, "base_thickness_mm");
  mount.centre = length_or(table, "centre_mm", 500.0 * board.height);
  mount.conductivity = number(table, "conductivity_w_per_mk");
  if (find(table, "density_kg_per_m3") != nullptr) {
    mount.density = number(table, "density_kg_per_m3");
  }
  return mount;
}

std::vector<std::string> mount_notes(const Mount& mount, bool in_room) {
  std::vector<std::string> notes{
      fmt::format("The section is one plane of the machine; everything in it is taken to reach "
                  "{:.6g} mm out of the plane unchanged{}.",
                  1000.0 * mount.depth,
                  mount.chip_depth > 0.0 ? ", the chip's heat too" : ", the chip included"),
      "Air that enters the gaps from the two ends out of the plane is left out, and so are the "
      "case's two walls there (both pessimistic)."};
  if (in_room) {
    notes.emplace_back(
        "The air of the room is calmed outside the case so that its plume is steady; "
        "inside the case's outline it is air as it is.");
  }
  return notes;
}

double spreading_of(const Mount& mount) {
  if (mount.chip_depth == 0.0) {
    return 0.0;
  }
  return spreading_resistance({mount.base_length, mount.depth, mount.base_thickness,
                               mount.conductivity, mount.chip.length, mount.chip_depth});
}

Metal metal_of_volume(const Mount& mount, double volume) {
  return {volume, mount.density.value_or(aluminium_density), !mount.density, ""};
}

void add_mount(Section& section, const Mount& mount, const Board& board,
               const MountExtents& extents) {
  section.solids.push_back({"board",
                            extents.board,
                            board.conductivity_through,
                            board.conductivity_in_plane,
                            0.0,
                            Role::board,
                            board.emissivity,
                            {}});
  const auto n_walls = static_cast<int>(section.solids.size()) - 1;
  add_solid(section, "chip", extents.chip, mount.chip.conductivity, Role::source, board.emissivity);
  section.solids.back().heat_share = 1.0;
  add_solid(section, "base", extents.base, mount.conductivity, Role::base, mount.emissivity);
  section.base = n_walls + 2;
  if (mount.chip.to_base > 0.0) {
    section.contacts.push_back({n_walls + 1, n_walls + 2, extents.dilution * mount.chip.to_base});
  }
  if (mount.chip.to_board > 0.0) {
    section.contacts.push_back({n_walls, n_walls + 1, extents.dilution * mount.chip.to_board});
  }
}

MountedSection mounted_section(const Mount& mount, const Board& board, const Enclosure& enclosure,
                               const Walls& walls) {
  MountedSection mounted;
  mounted.section = enclosure_section(enclosure, walls, mount.depth);
  const Places places = places_of(mount, board, enclosure);
  // The chip's contacts are spread over the section's depth, which the chip need not fill.
  const double dilution = mount.chip_depth > 0.0 ? mount.depth / mount.chip_depth : 1.0;
  add_mount(
      mounted.section, mount, board,
      {{places.board_back, places.board_face, places.board_low, places.board_low + board.height},
       centred(places.board_face, places.chip_face, places.centre, mount.chip.length),
       centred(places.chip_face, places.base_face, places.centre, mount.base_length),
       dilution});
  mounted.base_face = places.base_face;
  mounted.centre = places.centre;
  return mounted;
}

Section checked_section(MountedSection mounted, const Mount& mount, const Board& board,
                        const Enclosure& enclosure) {
  check_fit(mounted.section, board, mount, enclosure);
  snap_edges(mounted.section);
  return std::move(mounted.section);
}

} // namespace tiltfin
