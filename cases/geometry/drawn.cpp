// The tables of a section drawn by hand: [section], [sides], [[solid]], [[contact]], [[link]],
// [[medium]], [[grille]].

#include "cases/geometry/drawn.hpp"

#include "cases/geometry/finishes.hpp"
#include "cases/geometry/grilles.hpp"
#include "cases/geometry/section_parts.hpp"
#include "cases/input/rectangles.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <numbers>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

/// The rectangle given by `prefix`x_mm and `prefix`y_mm, `outer` where one of them is not given.
Rectangle read_patch(const TomlTable& table, const std::string& prefix, const Rectangle& outer) {
  const auto part = [&](const std::string& key, const Range& whole) {
    if (find(table, key) == nullptr) {
      note_default(table, key,
                   fmt::format("[{}, {}]", show(1000.0 * whole.low), show(1000.0 * whole.high)));
      return whole;
    }
    return read_range(table, key, whole);
  };
  const Range x = part(prefix + "x_mm", {outer.x0, outer.x1});
  const Range y = part(prefix + "y_mm", {outer.y0, outer.y1});
  return {x.low, x.high, y.low, y.high};
}

Role read_role(const TomlTable& table) {
  const Keys names(role_names.begin(), role_names.end());
  const std::string chosen = choice(table, "role");
  return static_cast<Role>(std::ranges::find(names, chosen) - names.begin());
}

/// True when the two share a stretch of an edge.
bool is_touching(const Rectangle& a, const Rectangle& b) {
  const bool along_y = (a.x1 == b.x0 || b.x1 == a.x0) && a.y0 < b.y1 && b.y0 < a.y1;
  const bool along_x = (a.y1 == b.y0 || b.y1 == a.y0) && a.x0 < b.x1 && b.x0 < a.x1;
  return along_x || along_y;
}

void refuse_clash(const TomlTable& table, const Section& section, const Solid& solid) {
  for (const Solid& other : section.solids) {
    if (other.name == solid.name) {
      refuse(table, "name", '"' + solid.name + "\" twice", "a different name for every solid");
    }
    if (is_overlapping(other.extent, solid.extent)) {
      refuse(table, "x_mm",
             fmt::format("a rectangle (\"{}\") that overlaps \"{}\"", solid.name, other.name),
             "rectangles that touch at most");
    }
  }
}

void read_solids(const TomlTable& top, Section& section) {
  const Rectangle outer{0.0, section.width, 0.0, section.height};
  for (const TomlTable& table : tables_at(top, "solid")) {
    Solid solid;
    solid.name = text(table, "name");
    solid.extent = read_rectangle(table, "", outer);
    read_conductivity(table, solid);
    solid.heat_share = number(table, "heat_share");
    solid.role = read_role(table);
    solid.emissivity = read_emissivity(table);
    refuse_clash(table, section, solid);
    section.solids.push_back(solid);
  }
}

Keys names_of(const Section& section) {
  Keys names;
  for (const Solid& solid : section.solids) {
    names.push_back(solid.name);
  }
  return names;
}

/// The two different solids named by `between`.
std::array<int, 2> read_pair(const TomlTable& table, const Section& section) {
  const Keys names = names_of(section);
  const std::vector<std::string> pair = choices(table, "between", names);
  if (pair.size() != 2) {
    refuse(table, "between", fmt::format("a list of {}", pair.size()),
           "the names of two solids: " + join(names));
  }
  const auto index = [&names](const std::string& name) {
    return static_cast<int>(std::ranges::find(names, name) - names.begin());
  };
  return {index(pair[0]), index(pair[1])};
}

const Solid& solid_at(const Section& section, int k) {
  return section.solids[static_cast<std::size_t>(k)];
}

void read_contacts(const TomlTable& top, Section& section) {
  for (const TomlTable& table : tables_at(top, "contact")) {
    const auto [a, b] = read_pair(table, section);
    if (!is_touching(solid_at(section, a).extent, solid_at(section, b).extent)) {
      refuse(table, "between",
             fmt::format("\"{}\" and \"{}\", which do not touch", solid_at(section, a).name,
                         solid_at(section, b).name),
             "two solids that share an edge");
    }
    section.contacts.push_back({a, b, number(table, "resistance_m2k_per_w")});
  }
}

void read_links(const TomlTable& top, Section& section) {
  for (const TomlTable& table : tables_at(top, "link")) {
    Link link;
    link.name = text(table, "name");
    const auto [a, b] = read_pair(table, section);
    link.solid_a = a;
    link.solid_b = b;
    link.patch_a = read_patch(table, "patch_a_", solid_at(section, a).extent);
    link.patch_b = read_patch(table, "patch_b_", solid_at(section, b).extent);
    link.conductance = number(table, "conductance_w_per_k") / section.depth;
    section.links.push_back(link);
  }
}

void read_media(const TomlTable& top, Section& section) {
  const Rectangle outer{0.0, section.width, 0.0, section.height};
  for (const TomlTable& table : tables_at(top, "medium")) {
    FinMedium medium;
    medium.name = text(table, "name");
    medium.extent = read_rectangle(table, "", outer);
    medium.gap = length(table, "gap_mm");
    medium.fin_thickness = length(table, "fin_thickness_mm");
    medium.conductivity = number(table, "conductivity_w_per_mk");
    medium.heat_share = number(table, "heat_share");
    medium.emissivity = read_emissivity(table);
    if (section.axis_distance) { // fins like spokes: as many at every radius
      medium.gap_growth = (medium.gap + medium.fin_thickness) /
                          (*section.axis_distance + 0.5 * (medium.extent.y0 + medium.extent.y1));
    }
    section.media.push_back(medium);
  }
}

void read_grilles(const TomlTable& top, Section& section) {
  for (const TomlTable& table : tables_at(top, "grille")) {
    const std::vector<double> from = numbers(table, "from_mm", 2, 2);
    const std::vector<double> to = numbers(table, "to_mm", 2, 2);
    Grille grille = read_grille_losses(table, length(table, "thickness_mm"));
    grille.name = text(table, "name");
    grille.line = {from[0] / 1000.0, to[0] / 1000.0, from[1] / 1000.0, to[1] / 1000.0};
    section.openings.push_back({grille.name, grille.line});
    section.grilles.push_back(grille);
  }
}

/// Keys of a side that its kind does not use are refused.
void refuse_unused(const TomlTable& table, const std::string& kind,
                   const std::vector<std::string>& used) {
  for (const char* key : {"temperature_c", "film_w_per_m2k", "outside_c", "finish", "emissivity"}) {
    if (find(table, key) != nullptr && std::ranges::find(used, key) == used.end()) {
      refuse(table, key, "a key that a side of kind \"" + kind + "\" does not use",
             used.empty() ? "kind alone" : "kind, " + join(used));
    }
  }
}

Side read_side(const TomlTable& table) {
  const std::string kind = choice(table, "kind");
  if (kind == "isothermal") {
    refuse_unused(table, kind, {"temperature_c", "finish", "emissivity"});
    return {SideKind::isothermal, temperature(table, "temperature_c"), 0.0, read_emissivity(table)};
  }
  if (kind == "film") {
    refuse_unused(table, kind, {"film_w_per_m2k", "outside_c", "finish", "emissivity"});
    return {SideKind::film, temperature(table, "outside_c"), number(table, "film_w_per_m2k"),
            read_emissivity(table)};
  }
  if (kind == "open") {
    refuse_unused(table, kind, {"outside_c"});
    return {SideKind::open, temperature(table, "outside_c"), 0.0, 0.0};
  }
  Side side;
  if (kind == "symmetry") {
    refuse_unused(table, kind, {});
    side.kind = SideKind::symmetry;
  } else {
    refuse_unused(table, kind, {"finish", "emissivity"});
    side.emissivity = read_emissivity(table);
  }
  return side;
}

void read_sides(const TomlTable& top, Section& section) {
  const Keys names(side_names.begin(), side_names.end());
  const TomlTable table = table_at(top, "sides");
  bool is_sealed = true;
  for (std::size_t k = 0; k < names.size(); ++k) {
    section.sides[k] = read_side(table_at(table, names[k]));
    const SideKind kind = section.sides[k].kind;
    is_sealed = is_sealed && (kind == SideKind::insulated || kind == SideKind::symmetry);
  }
  if (is_sealed) {
    refuse(top, "sides", "four sides that let no heat through",
           "at least one that is isothermal, film or open");
  }
}

/// The solid to report on: named, or the first that releases heat.
int read_base(const TomlTable& table, const Section& section) {
  const Keys names = names_of(section);
  if (find(table, "base") != nullptr) {
    const std::string name = choice(table, "base", names);
    return static_cast<int>(std::ranges::find(names, name) - names.begin());
  }
  for (std::size_t k = 0; k < names.size(); ++k) {
    if (section.solids[k].heat_share > 0.0) {
      note_default(table, "base", '"' + names[k] + '"');
      return static_cast<int>(k);
    }
  }
  note_default(table, "base", "none");
  return -1;
}

/// Of a plane section, or of a body of revolution: that of its outermost ring.
void read_depth(const TomlTable& table, Section& section) {
  if (find(table, "axis_distance_mm") == nullptr) {
    note_without(table, "axis_distance_mm");
    section.depth = length(table, "depth_mm");
    return;
  }
  if (find(table, "depth_mm") != nullptr) {
    refuse(table, "depth_mm", "a depth beside axis_distance_mm",
           "one of the two: a body of revolution is as deep as its rings are long");
  }
  section.axis_distance = length(table, "axis_distance_mm");
  section.depth = 2.0 * std::numbers::pi * (*section.axis_distance + section.height);
}

void check_axis(const TomlTable& top, const Section& section) {
  if (section.axis_distance == 0.0 && section.sides[south].kind != SideKind::symmetry) {
    refuse(table_at(table_at(top, "sides"), "south"), "kind", "a wall or an opening on the axis",
           "\"symmetry\" where section.axis_distance_mm is 0");
  }
}

} // namespace

Drawn read_drawn(const TomlTable& top) {
  const TomlTable table = needed_table(top, "section");
  Section section;
  section.width = length(table, "width_mm");
  section.height = length(table, "height_mm");
  read_depth(table, section);
  if (find(table, "machine_x_mm") != nullptr || find(table, "machine_y_mm") != nullptr) {
    section.machine = read_rectangle(table, "machine_", {0.0, section.width, 0.0, section.height});
  }
  read_sides(top, section);
  check_axis(top, section);
  read_solids(top, section);
  read_contacts(top, section);
  read_links(top, section);
  read_media(top, section);
  read_grilles(top, section);
  section.base = read_base(table, section);
  snap_edges(section);
  return {section};
}

std::vector<std::string> notes_of(const Drawn& drawn) {
  const Section& section = drawn.section;
  std::vector<std::string> notes{
      section.axis_distance
          ? fmt::format("The section is turned about an axis along x, {:.6g} mm below y = 0: "
                        "everything in it is a ring, and the air is the same all round; "
                        "disturbances that are not cannot be seen.",
                        1000.0 * *section.axis_distance)
          : fmt::format("The section is one plane; everything in it is taken to reach {:.6g} mm "
                        "out of the plane unchanged.",
                        1000.0 * section.depth)};
  if (section.machine) {
    notes.emplace_back("The air is calmed outside the machine's outline so that its plume "
                       "is steady; inside the outline it is air as it is.");
  }
  return notes;
}

bool has_media(const Drawn& drawn) {
  return !drawn.section.media.empty();
}

std::optional<Metal> metal_of(const Drawn& /*drawn*/) {
  return std::nullopt;
}

NoFinArray fins_of(const Drawn& /*drawn*/) {
  return {"a section drawn solid by solid", "[block] or [stack], which say what is a fin"};
}

} // namespace tiltfin
