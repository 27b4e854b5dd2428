#include "cases/geometry/enclosure.hpp"

#include "cases/geometry/section_parts.hpp"

#include <string>

namespace tiltfin {
namespace {

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

} // namespace

Rectangle inner_outline(const Enclosure& enclosure) {
  const bool in_room = enclosure.margin > 0.0;
  const double x0 = in_room ? enclosure.margin_on(west) + enclosure.wall_thickness : 0.0;
  const double y0 = in_room ? enclosure.margin_on(south) + enclosure.wall_thickness : 0.0;
  return {x0, x0 + enclosure.width, y0, y0 + enclosure.height};
}

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

} // namespace tiltfin
