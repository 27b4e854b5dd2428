#include "cases/geometry/housing.hpp"

#include "cases/geometry/finishes.hpp"
#include "cases/geometry/grilles.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

namespace tiltfin {
namespace {

std::vector<std::string> all_sides() {
  return {side_names.begin(), side_names.end()};
}

// Of a file's name most systems take 255 bytes; orientation, power and endings come beside it.
constexpr std::size_t longest_panel_name = 100;
constexpr const char* plain_names = "at most 100 letters, digits, - and .";

const KeyTable& panel_keys() {
  static const KeyTable keys =
      joined({{.name = "name", .allowed = plain_names, .meaning = "it names files"},
              {.name = "open",
               .options = all_sides(),
               .without = "none, beside a grille",
               .meaning = "walls whose sheet is off"},
              {.name = "grille",
               .options = all_sides(),
               .without = "none",
               .meaning = "walls that are perforated"},
              {.name = "ends",
               .options = {"sheet", "open", "grille"},
               .without = "sheet, open where all four walls are",
               .meaning = "both walls out of the plane; read by tiltfin ends"}},
             grille_loss_keys());
  return keys;
}

void refuse_in_room(const TomlTable& table, const std::string& key) {
  if (find(table, key) != nullptr) {
    refuse(table, key, "a key for a case whose walls are the sides of the section",
           "only without room.margin_mm (the air round the case is meshed)");
  }
}

Enclosure read_enclosure(const TomlTable& table, const Room& room) {
  Enclosure enclosure;
  enclosure.width = length(table, "width_mm");
  enclosure.height = length(table, "height_mm");
  if (find(table, "depth_mm") != nullptr) {
    enclosure.depth = length(table, "depth_mm");
  } else {
    note_without(table, "depth_mm");
  }
  enclosure.wall_thickness = length(table, "wall_thickness_mm");
  enclosure.wall_conductivity = number(table, "wall_conductivity_w_per_mk");
  enclosure.emissivity = read_emissivity(table);
  enclosure.margin = room.margin;
  enclosure.room_temperature = room.temperature;
  if (room.margin > 0.0) {
    refuse_in_room(table, "side");
    refuse_in_room(table, "wall_film_w_per_m2k");
    return enclosure;
  }
  if (choice(table, "side") == "film") {
    const double film = number(table, "wall_film_w_per_m2k");
    const double wall = enclosure.wall_thickness / enclosure.wall_conductivity;
    enclosure.outside = {SideKind::film, room.temperature, 1.0 / (1.0 / film + wall),
                         enclosure.emissivity};
  } else {
    if (find(table, "wall_film_w_per_m2k") != nullptr) {
      refuse(table, "wall_film_w_per_m2k", "a film coefficient", "only with side = \"film\"");
    }
    enclosure.outside = {SideKind::isothermal, room.temperature, 0.0, enclosure.emissivity};
  }
  return enclosure;
}

bool is_plain(const std::string& name) {
  return name.size() <= longest_panel_name && std::ranges::all_of(name, [](unsigned char c) {
           return std::isalnum(c) != 0 || c == '-' || c == '.';
         });
}

Panel read_panel(const TomlTable& table, double wall_thickness) {
  Panel panel;
  panel.name = text(table, "name");
  if (!is_plain(panel.name)) {
    refuse(table, "name", '"' + panel.name + '"', std::string(plain_names) + " (it names files)");
  }
  const std::vector<std::string> names = all_sides();
  const auto wall = [&](const std::string& side) -> Wall& {
    return panel.walls[static_cast<std::size_t>(std::ranges::find(names, side) - names.begin())];
  };
  const bool has_grille = find(table, "grille") != nullptr;
  const bool has_ends = find(table, "ends") != nullptr;
  const bool has_end_grilles = has_ends && choice(table, "ends") == "grille";
  if (!has_ends) {
    note_without(table, "ends");
  }
  if (!has_grille || find(table, "open") != nullptr) {
    for (const std::string& side : choices(table, "open")) {
      wall(side).open = true;
    }
  }
  if (has_end_grilles && !has_grille) {
    static_cast<void>(read_grille_losses(table, wall_thickness));
    return panel;
  }
  if (!has_grille) {
    for (const char* key : {"free_area_ratio", "hole_diameter_mm"}) {
      if (find(table, key) != nullptr) {
        refuse(table, key, "a key of a grille", "only with grille = [sides]");
      }
    }
    return panel;
  }
  const Grille losses = read_grille_losses(table, wall_thickness);
  for (const std::string& side : choices(table, "grille")) {
    if (wall(side).open) {
      refuse(table, "grille", '"' + side + "\", which is open too", "each wall once");
    }
    wall(side).grille = losses;
  }
  return panel;
}

std::vector<Panel> read_panels(const TomlTable& table, double wall_thickness) {
  std::vector<Panel> panels;
  for (const TomlTable& entry : tables_at(table, "panel")) {
    const Panel panel = read_panel(entry, wall_thickness);
    if (std::ranges::any_of(panels, [&](const Panel& p) { return p.name == panel.name; })) {
      refuse(entry, "name", '"' + panel.name + "\" twice",
             "a different name for every panel state");
    }
    panels.push_back(panel);
  }
  if (panels.empty()) {
    note_without(table, "panel");
    panels.push_back({"closed", {}});
  }
  return panels;
}

} // namespace

const KeyTable& enclosure_keys() {
  static const KeyTable keys = joined(
      joined({{.name = "width_mm", .bounds = length_above_zero(), .meaning = "inside, along x"},
              {.name = "height_mm", .bounds = length_above_zero(), .meaning = "inside, along y"},
              {.name = "depth_mm",
               .bounds = length_above_zero(),
               .without = "as it is high; 20 mm more than the cooler at either end if that is more",
               .meaning =
                   "inside, out of the plane; read by tiltfin ends and by a ring that lies flat"},
              {.name = "wall_thickness_mm",
               .bounds = length_above_zero(),
               .fallback = 1.0,
               .meaning = "of the sheet"},
              {.name = "wall_conductivity_w_per_mk",
               .bounds = conductivity(),
               .fallback = 50.0,
               .meaning = "of the sheet"},
              {.name = "side",
               .options = {"film", "isothermal"},
               .fallback = "film",
               .meaning = "what the walls are without a meshed room"},
              {.name = "wall_film_w_per_m2k",
               .bounds = film(),
               .fallback = 8.0,
               .meaning = "of the walls to the room, with side = \"film\""}},
             finish_keys("of the walls, inside and outside")),
      {{.name = "panel",
        .without = "\"closed\" with no wall open",
        .table = &panel_keys(),
        .is_list = true,
        .meaning = "a state of the case: which walls are off or perforated"}});
  return keys;
}

Housing read_housing(const TomlTable& top, const TomlTable& room_table, const Room& room,
                     const std::vector<Orientation>& orientations) {
  Housing housing;
  const TomlTable box = needed_table(top, "case");
  Enclosure enclosure = read_enclosure(box, room);
  housing.panels = read_panels(box, enclosure.wall_thickness);
  housing.parts = read_parts(top, enclosure);
  const std::vector<NearCase> near = read_nearby(room_table, enclosure, orientations);
  for (const NearCase& near_case : near) {
    enclosure.nearby = near_case.sides;
    enclosure.level = near_case.level;
    for (const Panel& panel : housing.panels) {
      check_nearby(room_table, enclosure, panel.walls, panel.name);
    }
    housing.enclosures.push_back(enclosure);
  }
  return housing;
}

} // namespace tiltfin
