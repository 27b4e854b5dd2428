// The tables [[part]] and [[room.surface]].

#include "cases/geometry/surroundings.hpp"

#include "cases/geometry/finishes.hpp"
#include "cases/geometry/section_parts.hpp"
#include "cases/input/rectangles.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

/// A surface as written; where it is depends on the orientation when it is above or below.
struct Surface {
  TomlTable table;
  std::string at;
  Nearby nearby;
  std::vector<std::string> orientations;
};

/// The side that a unit vector of the board frame points to; none when it points to no side.
std::optional<SideName> side_towards(const Vector3& direction) {
  constexpr double nearly_one = 1.0 - 1e-9; // multiples of a quarter turn are exact
  if (std::abs(direction[0]) > nearly_one) {
    return direction[0] > 0.0 ? east : west;
  }
  if (std::abs(direction[1]) > nearly_one) {
    return direction[1] > 0.0 ? north : south;
  }
  return std::nullopt;
}

Surface read_surface(const TomlTable& table, double room_temperature, const Keys& all) {
  Surface surface;
  surface.table = table;
  surface.at = choice(table, "at");
  surface.nearby.distance = length(table, "distance_mm");
  const bool insulated = choice(table, "kind") == "insulated";
  surface.nearby.wall = {insulated ? SideKind::insulated : SideKind::isothermal, room_temperature,
                         0.0, read_emissivity(table)};
  surface.orientations = all;
  if (find(table, "orientations") == nullptr) {
    note_default(table, "orientations", fmt::format("[\"{}\"]", fmt::join(all, "\", \"")));
  } else {
    surface.orientations = choices(table, "orientations", all);
  }
  return surface;
}

/// Where a surface that follows gravity is, as a unit vector of the board frame.
Vector3 direction_of(const Surface& surface, const Orientation& orientation) {
  Vector3 direction = orientation.down;
  if (surface.at == "above") {
    for (double& part : direction) {
      part = -part;
    }
  }
  return direction;
}

/// The side that the surface is on; none where it is level beside a tilted case.
std::optional<SideName> side_of_surface(const Surface& surface, const Orientation& orientation) {
  for (const SideName side : {west, east, south, north}) {
    if (surface.at == side_names[side]) {
      return side;
    }
  }
  return side_towards(direction_of(surface, orientation));
}

/// A surface that is level beside a tilted case. Refused where steps cannot stand for it.
LevelSurface level_surface(const Surface& surface, const Orientation& orientation, double margin) {
  const Vector3 direction = direction_of(surface, orientation);
  const auto refuse_here = [&](const char* key, const std::string& found,
                               const std::string& allowed) {
    refuse(surface.table, key, fmt::format("{} for the orientation {}", found, orientation.name),
           allowed + ", or orientations = [those that it is there in]");
  };
  if (std::hypot(direction[0], direction[1]) < 1.0 - 1e-9) { // out of the section
    refuse_here("at", '"' + surface.at + '"', "a side");
  }
  if (surface.nearby.wall.kind != SideKind::insulated) {
    refuse_here("kind", "\"isothermal\"", "\"insulated\" beside a tilted case");
  }
  const double distance = surface.nearby.distance;
  if (distance <= 0.0 || distance >= margin) {
    refuse_here("distance_mm", show(1000.0 * distance),
                fmt::format("a distance of the case's nearest corner above 0 and below "
                            "room.margin_mm = {}",
                            show(1000.0 * margin)));
  }
  return {surface.at, direction[0], direction[1], distance, surface.nearby.wall.emissivity};
}

NearCase near_case_in(const std::vector<Surface>& surfaces, const Orientation& orientation,
                      double margin) {
  NearCase near_case;
  for (const Surface& surface : surfaces) {
    const Keys& there = surface.orientations;
    if (std::ranges::find(there, orientation.name) == there.end()) {
      continue;
    }
    const std::optional<SideName> side = side_of_surface(surface, orientation);
    const bool is_second = side ? near_case.sides[*side].has_value()
                                : std::ranges::find(near_case.level, surface.at,
                                                    &LevelSurface::name) != near_case.level.end();
    if (is_second) {
      refuse(surface.table, "at",
             fmt::format("a second surface {} in the orientation {}",
                         side ? fmt::format("on the {} side", side_names[*side]) : surface.at,
                         orientation.name),
             "one surface on each side");
    }
    if (side) {
      near_case.sides[*side] = surface.nearby;
    } else {
      near_case.level.push_back(level_surface(surface, orientation, margin));
    }
  }
  return near_case;
}

} // namespace

const KeyTable& part_keys() {
  static const KeyTable keys =
      joined({{.name = "name", .allowed = "a text", .meaning = "for reports"},
              range_key("x_mm", "inside the case, from its west wall"),
              range_key("y_mm", "inside the case, from its south wall"),
              conductivity_key(),
              {.name = "power_w",
               .bounds = power_of_zero_or_more(),
               .fallback = 0.0,
               .meaning = "released at every power of the cooler"}},
             finish_keys());
  return keys;
}

const KeyTable& surface_keys() {
  static const KeyTable keys =
      joined(joined({{.name = "at",
                      .options = {"below", "above", "west", "east", "south", "north"},
                      .meaning = "by gravity, or a side that stays with the machine"},
                     {.name = "distance_mm",
                      .bounds = length_of_zero_or_more(),
                      .meaning = "of the case's outside from it"},
                     {.name = "kind",
                      .options = {"insulated", "isothermal"},
                      .fallback = "insulated",
                      .meaning = "isothermal: at the room's temperature"}},
                    finish_keys()),
             {{.name = "orientations",
               .allowed = "a list of orientations of the case",
               .without = "all",
               .meaning = "in which it is there"}});
  return keys;
}

std::vector<Part> read_parts(const TomlTable& top, const Enclosure& enclosure) {
  const Rectangle inside{0.0, enclosure.width, 0.0, enclosure.height};
  std::vector<Part> parts;
  for (const TomlTable& table : tables_at(top, "part")) {
    Part part{table, {}};
    part.solid.name = text(table, "name");
    part.solid.extent = read_rectangle(table, "", inside);
    read_conductivity(table, part.solid);
    part.solid.power = number(table, "power_w");
    part.solid.emissivity = read_emissivity(table);
    parts.push_back(part);
  }
  return parts;
}

void add_parts(const std::vector<Part>& parts, const Enclosure& enclosure, Section& section) {
  const Rectangle inner = inner_outline(enclosure);
  for (const Part& part : parts) {
    Solid solid = part.solid;
    solid.extent = {inner.x0 + solid.extent.x0, inner.x0 + solid.extent.x1,
                    inner.y0 + solid.extent.y0, inner.y0 + solid.extent.y1};
    section.solids.push_back(solid);
    snap_edges(section);
    const Rectangle placed = section.solids.back().extent;
    const auto refuse_overlap = [&](const std::string& other) {
      refuse(part.table, "x_mm",
             fmt::format("a part (\"{}\") that overlaps \"{}\"", solid.name, other),
             "parts that touch others at most");
    };
    for (std::size_t k = 0; k + 1 < section.solids.size(); ++k) {
      const Solid& other = section.solids[k];
      if (other.name == solid.name) {
        refuse(part.table, "name", '"' + solid.name + "\" twice", "a name of its own");
      }
      if (is_overlapping(other.extent, placed)) {
        refuse_overlap(other.name);
      }
    }
    for (const FinMedium& medium : section.media) {
      if (is_overlapping(medium.extent, placed)) {
        refuse_overlap(medium.name);
      }
    }
  }
}

std::vector<NearCase> read_nearby(const TomlTable& room_table, const Enclosure& enclosure,
                                  const std::vector<Orientation>& orientations) {
  Keys names;
  for (const Orientation& orientation : orientations) {
    names.push_back(orientation.name);
  }
  std::vector<Surface> surfaces;
  for (const TomlTable& table : tables_at(room_table, "surface")) {
    surfaces.push_back(read_surface(table, enclosure.room_temperature, names));
  }
  const bool turns = std::ranges::any_of(surfaces, [&](const Surface& surface) {
    return surface.at == "below" || surface.at == "above" ||
           surface.orientations.size() < orientations.size();
  });
  std::vector<NearCase> nearby;
  for (std::size_t k = 0; k < (turns ? orientations.size() : 1); ++k) {
    nearby.push_back(near_case_in(surfaces, orientations[k], enclosure.margin));
  }
  return nearby;
}

void check_nearby(const TomlTable& room_table, const Enclosure& enclosure, const Walls& walls,
                  const std::string& panel) {
  for (const SideName side : {west, east, south, north}) {
    const bool stands = enclosure.nearby[side] && enclosure.nearby[side]->distance == 0.0;
    if (stands && (walls[side].open || walls[side].grille)) {
      refuse(room_table, "surface",
             fmt::format("the {} wall, which lets air through in the panel state {}, on a surface "
                         "at 0 mm",
                         side_names[side], panel),
             "a distance_mm above 0");
    }
  }
}

std::vector<std::string> part_notes(const std::vector<Part>& parts, double depth) {
  std::vector<std::string> notes;
  if (parts.empty()) {
    return notes;
  }
  Keys names;
  double power = 0.0;
  for (const Part& part : parts) {
    names.push_back(part.solid.name);
    power += part.solid.power;
  }
  notes.push_back(fmt::format(
      "In the section {} reach through its whole depth of {:.6g} mm: in the way of the air they "
      "count for more than parts that are less deep (pessimistic).",
      join(names), 1000.0 * depth));
  if (power > 0.0) {
    notes.push_back(fmt::format(
        "Parts release {:.6g} W besides the power of a condition, so the rise does not vanish with "
        "that power and no power law holds far outside the solved powers.",
        power));
  }
  return notes;
}

} // namespace tiltfin
