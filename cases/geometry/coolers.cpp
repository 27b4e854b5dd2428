#include "cases/geometry/coolers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>
#include <stdexcept>

namespace tiltfin {
namespace {

constexpr double nanometre = 1e-9; // far below any sheet, far above rounding of coordinates

/// In a meshed room.
Rectangle outer_outline(const Enclosure& enclosure) {
  const Rectangle inner = inner_outline(enclosure);
  const double t = enclosure.wall_thickness;
  return {enclosure.margin_on(west), inner.x1 + t, enclosure.margin_on(south), inner.y1 + t};
}

/// The inner face of a wall.
Rectangle inner_face(const Rectangle& inner, SideName side) {
  switch (side) {
  case west:
    return {inner.x0, inner.x0, inner.y0, inner.y1};
  case east:
    return {inner.x1, inner.x1, inner.y0, inner.y1};
  case south:
    return {inner.x0, inner.x1, inner.y0, inner.y0};
  case north:
    break;
  }
  return {inner.x0, inner.x1, inner.y1, inner.y1};
}

/// The sheet of a wall; corners belong to the south and north walls.
Rectangle wall_sheet(const Rectangle& inner, const Rectangle& outer, SideName side) {
  switch (side) {
  case west:
    return {outer.x0, inner.x0, inner.y0, inner.y1};
  case east:
    return {inner.x1, outer.x1, inner.y0, inner.y1};
  case south:
    return {outer.x0, outer.x1, outer.y0, inner.y0};
  case north:
    break;
  }
  return {outer.x0, outer.x1, inner.y1, outer.y1};
}

void add_solid(Section& section, const std::string& name, const Rectangle& extent,
               double conductivity, Role role, double emissivity) {
  section.solids.push_back({name, extent, conductivity, conductivity, 0.0, role, emissivity, {}});
}

/// A grille and the opening that reports the exchange through it.
void add_grille(Section& section, Grille grille, const std::string& name, const Rectangle& line) {
  grille.name = name;
  grille.line = line;
  section.grilles.push_back(grille);
  section.openings.push_back({name, line});
}

void add_walls(Section& section, const Enclosure& enclosure, const Walls& walls) {
  const Rectangle inner = inner_outline(enclosure);
  const Rectangle outer = outer_outline(enclosure);
  for (const SideName side : {west, east, south, north}) {
    const std::string name = side_names[side];
    const Wall& wall = walls[side];
    if (wall.open) {
      section.openings.push_back({"panel-" + name, inner_face(inner, side)});
    } else if (wall.grille) {
      add_grille(section, *wall.grille, "grille-" + name, inner_face(inner, side));
    } else {
      add_solid(section, "wall-" + name, wall_sheet(inner, outer, side),
                enclosure.wall_conductivity, Role::wall, enclosure.emissivity);
    }
  }
}

/// The case alone.
Section enclosure_section(const Enclosure& enclosure, const Walls& walls, double depth) {
  Section section;
  section.depth = depth;
  const Side room{SideKind::open, enclosure.room_temperature, 0.0, 0.0};
  if (enclosure.margin > 0.0) {
    const Rectangle outer = outer_outline(enclosure);
    section.width = outer.x1 + enclosure.margin_on(east);
    section.height = outer.y1 + enclosure.margin_on(north);
    for (const SideName side : {west, east, south, north}) {
      const std::optional<Nearby>& surface = enclosure.nearby[side];
      section.sides[side] = surface ? surface->wall : room;
    }
    section.machine = outer;
    add_walls(section, enclosure, walls);
  } else {
    section.width = enclosure.width;
    section.height = enclosure.height;
    for (const SideName side : {west, east, south, north}) {
      const Wall& wall = walls[side];
      section.sides[side] = wall.open || wall.grille ? room : enclosure.outside;
      if (wall.grille) {
        Grille grille = *wall.grille;
        grille.name = std::string("grille-") + side_names[side];
        grille.line = inner_face(inner_outline(enclosure), side);
        section.grilles.push_back(grille);
      }
    }
  }
  return section;
}

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

/// A rectangle about the cooler's centre line.
Rectangle centred(double x0, double x1, double centre, double length) {
  return {x0, x1, centre - 0.5 * length, centre + 0.5 * length};
}

/// Board, chip and base with their contacts; the chip releases the heat, the base is reported.
void add_mount(Section& section, const Mount& mount, const Board& board, const Places& places) {
  section.solids.push_back(
      {"board",
       {places.board_back, places.board_face, places.board_low, places.board_low + board.height},
       board.conductivity_through,
       board.conductivity_in_plane,
       0.0,
       Role::board,
       board.emissivity,
       {}});
  const auto n_walls = static_cast<int>(section.solids.size()) - 1;
  add_solid(section, "chip",
            centred(places.board_face, places.chip_face, places.centre, mount.chip.length),
            mount.chip.conductivity, Role::source, board.emissivity);
  section.solids.back().heat_share = 1.0;
  add_solid(section, "base",
            centred(places.chip_face, places.base_face, places.centre, mount.base_length),
            mount.conductivity, Role::base, mount.emissivity);
  section.base = n_walls + 2;
  if (mount.chip.to_base > 0.0) {
    section.contacts.push_back({n_walls + 1, n_walls + 2, mount.chip.to_base});
  }
  if (mount.chip.to_board > 0.0) {
    section.contacts.push_back({n_walls, n_walls + 1, mount.chip.to_board});
  }
}

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

/// "[a, b] mm" measured from `origin`.
std::string show_range(double a, double b, double origin) {
  const auto mm = [origin](double x) { return 1000.0 * (x - origin); };
  return fmt::format("{:.6g} to {:.6g} mm", mm(a), mm(b));
}

void check_range(const std::string& name, const char* direction, std::array<double, 2> range,
                 std::array<double, 2> allowed) {
  if (range[0] < allowed[0] - nanometre || range[1] > allowed[1] + nanometre) {
    throw std::invalid_argument(fmt::format(
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
    throw std::invalid_argument(
        fmt::format("found a chip at {} on the board, allowed {} (the board)",
                    show_range(mount.centre - half, mount.centre + half, 0.0),
                    show_range(0.0, board.height, 0.0)));
  }
}

void check_columns(const Stack& stack) {
  if (stack.column_width > std::min(stack.mount.base_length, stack.plate_length) + nanometre) {
    throw std::invalid_argument(
        fmt::format("found columns {:.6g} mm wide, allowed at most the base and the plate ({:.6g} "
                    "and {:.6g} mm)",
                    1000.0 * stack.column_width, 1000.0 * stack.mount.base_length,
                    1000.0 * stack.plate_length));
  }
  const double half = 0.5 * stack.column_width;
  for (const double position : stack.column_positions) {
    if (position - half < -nanometre || position + half > stack.plate_length + nanometre) {
      throw std::invalid_argument(
          fmt::format("found a column at {} on the plate, allowed {} (the plate)",
                      show_range(position - half, position + half, 0.0),
                      show_range(0.0, stack.plate_length, 0.0)));
    }
  }
}

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

Rectangle inner_outline(const Enclosure& enclosure) {
  const bool in_room = enclosure.margin > 0.0;
  const double x0 = in_room ? enclosure.margin_on(west) + enclosure.wall_thickness : 0.0;
  const double y0 = in_room ? enclosure.margin_on(south) + enclosure.wall_thickness : 0.0;
  return {x0, x0 + enclosure.width, y0, y0 + enclosure.height};
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

Section stack_section(const Stack& stack, const Board& board, const Enclosure& enclosure,
                      const Walls& walls) {
  check_columns(stack);
  Section section = enclosure_section(enclosure, walls, stack.mount.depth);
  const Places places = places_of(stack.mount, board, enclosure);
  add_mount(section, stack.mount, board, places);
  for (int k = 0; k < stack.plates; ++k) {
    const double x0 =
        places.base_face + stack.first_gap + k * (stack.plate_thickness + stack.plate_gap);
    add_solid(section, fmt::format("plate-{}", k + 1),
              centred(x0, x0 + stack.plate_thickness, places.centre, stack.plate_length),
              stack.mount.conductivity, Role::fin, stack.mount.emissivity);
    add_columns(section, stack, k + 1);
  }
  check_fit(section, board, stack.mount, enclosure);
  snap_edges(section);
  return section;
}

Section block_section(const Block& block, const Board& board, const Enclosure& enclosure,
                      const Walls& walls) {
  Section section = enclosure_section(enclosure, walls, block.mount.depth);
  const Places places = places_of(block.mount, board, enclosure);
  add_mount(section, block.mount, board, places);
  const double length = block.mount.base_length;
  if (block.along) {
    section.media.push_back(
        {"fins",
         centred(places.base_face, places.base_face + block.fin_height, places.centre, length),
         block.fin_gap, block.fin_thickness, block.mount.conductivity});
    section.media.back().emissivity = block.mount.emissivity;
    check_fit(section, board, block.mount, enclosure);
    snap_edges(section);
    return section;
  }
  const double pitch = block.fins > 1 ? (length - block.fin_thickness) / (block.fins - 1) : 0.0;
  const double south_end =
      block.fins > 1 ? places.centre - 0.5 * length : places.centre - 0.5 * block.fin_thickness;
  for (int k = 0; k < block.fins; ++k) {
    const double y0 = south_end + k * pitch;
    add_solid(section, fmt::format("fin-{}", k + 1),
              {places.base_face, places.base_face + block.fin_height, y0, y0 + block.fin_thickness},
              block.mount.conductivity, Role::fin, block.mount.emissivity);
  }
  check_fit(section, board, block.mount, enclosure);
  snap_edges(section);
  return section;
}

double ring_depth(const Ring& ring) {
  const double mean_diameter = 0.5 * (ring.mount.base_length + ring.outer_diameter);
  return 0.5 * std::numbers::pi * mean_diameter;
}

Section ring_section(const Ring& ring, const Board& board, const Enclosure& enclosure,
                     const Walls& walls) {
  const double core = 0.5 * ring.mount.base_length;
  const double rim = 0.5 * ring.outer_diameter;
  const double pitch_growth = 2.0 * std::numbers::pi / ring.fins;
  if (pitch_growth * core <= ring.fin_thickness) {
    throw std::invalid_argument(fmt::format(
        "found {} fins of {:.6g} mm at a core of {:.6g} mm round, allowed fins that leave "
        "air between them",
        ring.fins, 1000.0 * ring.fin_thickness, 2000.0 * std::numbers::pi * core));
  }
  Section section = enclosure_section(enclosure, walls, ring_depth(ring));
  const Places places = places_of(ring.mount, board, enclosure);
  add_mount(section, ring.mount, board, places);
  const double face = places.base_face + ring.fin_height;
  section.solids.back().extent.x1 = face;
  FinMedium fins;
  fins.fin_thickness = ring.fin_thickness;
  fins.gap = pitch_growth * 0.5 * (core + rim) - ring.fin_thickness;
  fins.conductivity = ring.mount.conductivity;
  fins.emissivity = ring.mount.emissivity;
  fins.name = "fins-south";
  fins.extent = {places.base_face, face, places.centre - rim, places.centre - core};
  fins.gap_growth = -pitch_growth;
  section.media.push_back(fins);
  fins.name = "fins-north";
  fins.extent = {places.base_face, face, places.centre + core, places.centre + rim};
  fins.gap_growth = pitch_growth;
  section.media.push_back(fins);
  check_fit(section, board, ring.mount, enclosure);
  snap_edges(section);
  return section;
}

} // namespace tiltfin
