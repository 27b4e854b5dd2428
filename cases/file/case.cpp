#include "cases/file/case.hpp"

#include "cases/file/conditions.hpp"
#include "cases/geometry/geometry.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

const Keys& top_keys() {
  static const Keys keys{"title",   "room",  "limit",  "conditions", "stack", "block",
                         "ring",    "board", "case",   "section",    "sides", "solid",
                         "contact", "link",  "medium", "grille",     "air",   "mesh",
                         "bench",   "part",  "spacing"};
  return keys;
}

/// Which of the four ways to describe the geometry is used; refuses none, two, and tables that
/// belong to another way.
std::string geometry_kind(const TomlTable& top) {
  std::string kind;
  for (const char* key : {"stack", "block", "ring", "section"}) {
    if (find(top, key) == nullptr) {
      continue;
    }
    if (!kind.empty()) {
      refuse(top, key, fmt::format("[{}] beside [{}]", key, kind),
             "one of [stack], [block], [ring], [section]");
    }
    kind = key;
  }
  if (kind.empty()) {
    refuse(top, "stack", "none of [stack], [block], [ring], [section]", "exactly one of them");
  }
  const bool is_drawn = kind == "section";
  const Keys others = is_drawn ? Keys{"board", "case", "part"}
                               : Keys{"sides", "solid", "contact", "link", "medium", "grille"};
  for (const std::string& key : others) {
    if (find(top, key) != nullptr) {
      refuse(top, key, fmt::format("[{}] beside [{}]", key, kind),
             is_drawn
                 ? "[board], [case] and [[part]] only with [stack], [block] or [ring]"
                 : "[sides], [[solid]], [[contact]], [[link]], [[medium]] and [[grille]] only with "
                   "[section]");
    }
  }
  return kind;
}

const Keys& room_keys() {
  static const Keys keys{"temperature_c", "margin_mm",     "calm_factor",
                         "calm_start_mm", "calm_width_mm", "surface"};
  return keys;
}

/// Room temperatures at which the air tables still reach well above the room.
Bounds room_bounds() {
  return between(-70.0, 250.0);
}

Room read_room(const TomlTable& table, const std::string& kind) {
  Room room;
  room.temperature = temperature_or(table, "temperature_c", room_bounds(), 25.0);
  if (kind != "section") {
    room.margin = length_or(table, "margin_mm", zero_or_more(), 0.0);
  } else if (find(table, "margin_mm") != nullptr) {
    refuse(table, "margin_mm", "a margin for a drawn section",
           "only with [stack], [block] or [ring]; draw the room and give section.machine_x_mm and "
           "_y_mm");
  }
  if (room.margin == 0.0 && find(table, "surface") != nullptr) {
    refuse(table, "surface", "a surface of a room that is not meshed",
           "only with room.margin_mm above 0");
  }
  return room;
}

CalmRoom read_calm(const TomlTable& table, bool has_machine) {
  CalmRoom calm;
  if (!has_machine) {
    for (const char* key : {"calm_factor", "calm_start_mm", "calm_width_mm"}) {
      if (find(table, key) != nullptr) {
        refuse(table, key, "a key for a room that is not meshed",
               "only with room.margin_mm above 0 or section.machine_x_mm and _y_mm");
      }
    }
    return calm;
  }
  calm.factor = number_or(table, "calm_factor", between(1.0, 1000.0), calm.factor);
  calm.start = length_or(table, "calm_start_mm", zero_or_more(), 1e3 * calm.start);
  calm.width = length_or(table, "calm_width_mm", above_zero(), 1e3 * calm.width);
  return calm;
}

void read_limit(const TomlTable& top, Case& the_case) {
  const Keys keys{"temperature_c", "die_to_base_k_per_w", "spreading_k_per_w"};
  const TomlTable table = table_at(top, "limit", keys);
  the_case.limit_temperature = temperature_or(table, "temperature_c", celsius(), 100.0);
  if (the_case.limit_temperature <= the_case.room_temperature) {
    refuse(table, "temperature_c", show(the_case.limit_temperature - zero_celsius),
           fmt::format("more than room.temperature_c = {}",
                       show(the_case.room_temperature - zero_celsius)));
  }
  the_case.die_to_base = number_or(table, "die_to_base_k_per_w", zero_or_more(), 0.0);
  if (the_case.spreading > 0.0) {
    if (find(table, "spreading_k_per_w") != nullptr) {
      refuse(table, "spreading_k_per_w", "both spreading_k_per_w and block.chip_depth_mm",
             "one of them");
    }
  } else {
    the_case.spreading = number_or(table, "spreading_k_per_w", zero_or_more(), 0.0);
  }
}

void note_spreading(Case& the_case) {
  if (the_case.spreading > 0.0) {
    the_case.notes.push_back(fmt::format(
        "From under the chip to the mean of the base heat spreads against {:.3g} K/W, in series "
        "with the section and with die_to_base.",
        the_case.spreading));
  } else if (the_case.panels.front().section.base >= 0) {
    the_case.notes.emplace_back("Spreading of heat along the depth is not resisted (optimistic).");
  }
}

/// Heat shares add up to 1 when any power is above zero.
void check_shares(const TomlTable& top, const Case& the_case) {
  double total = 0.0;
  for (const Solid& solid : the_case.panels.front().section.solids) {
    total += solid.heat_share;
  }
  for (const FinMedium& medium : the_case.panels.front().section.media) {
    total += medium.heat_share;
  }
  if (the_case.powers.back() > 0.0 && std::abs(total - 1.0) > 1e-9) {
    refuse(top, "solid", "heat shares that add up to " + show(total),
           "1, because conditions.powers_w has a power above 0");
  }
}

void read_air(const TomlTable& top, Case& the_case) {
  const Keys constants{"density_kg_per_m3", "heat_capacity_j_per_kgk", "conductivity_w_per_mk",
                       "viscosity_pa_s",    "expansion_per_k",         "reference_temperature_c"};
  Keys keys = constants;
  keys.emplace_back("gravity_m_per_s2");
  const TomlTable table = table_at(top, "air", keys);
  the_case.gravity = number_or(table, "gravity_m_per_s2", zero_or_more(), standard_gravity);
  if (std::ranges::none_of(constants, [&](const auto& k) { return find(table, k) != nullptr; })) {
    note_default(table, "properties", "tables at the film temperature");
    return;
  }
  AirProperties air;
  air.density = number(table, "density_kg_per_m3", above_zero());
  air.heat_capacity = number(table, "heat_capacity_j_per_kgk", above_zero());
  air.conductivity = number(table, "conductivity_w_per_mk", above_zero());
  air.viscosity = number(table, "viscosity_pa_s", above_zero());
  air.expansion = number(table, "expansion_per_k", zero_or_more());
  air.reference_temperature = temperature(table, "reference_temperature_c", celsius());
  the_case.air = air;
}

/// A length that the mesh chooses when it is not given.
double read_cell(const TomlTable& table, const std::string& key, const std::string& chosen) {
  if (find(table, key) == nullptr) {
    note_default(table, key, chosen);
    return 0.0;
  }
  return length(table, key, above_zero());
}

const Keys& mesh_keys() {
  static const Keys keys{"cells_per_gap", "cells_per_sheet", "cells_per_medium", "growth",
                         "wall_cell_mm",  "largest_cell_mm", "radiant_zone_mm"};
  return keys;
}

/// The zones of radiation, and a note on what does not radiate.
void read_radiation(const TomlTable& top, Case& the_case) {
  const TomlTable table = table_at(top, "mesh", mesh_keys());
  const double zone =
      read_cell(table, "radiant_zone_mm", "length of all solid surfaces and walls / 120");
  std::vector<std::string> dull;
  bool any = false;
  for (PanelState& panel : the_case.panels) {
    panel.section.radiant_zone = zone;
    for (Section& section : panel.standing) {
      section.radiant_zone = zone;
    }
    any = any || radiates(panel.section);
    const auto note = [&dull](const auto& body) {
      if (body.emissivity == 0.0 && std::ranges::find(dull, body.name) == dull.end()) {
        dull.push_back(body.name);
      }
    };
    std::ranges::for_each(panel.section.solids, note);
    std::ranges::for_each(panel.section.media, note);
  }
  if (!any) {
    the_case.notes.emplace_back("Radiation is not included (pessimistic): no surface has a finish "
                                "or an emissivity above 0.");
    return;
  }
  the_case.notes.emplace_back("Surfaces exchange radiation (grey and diffuse); the air is "
                              "transparent, open sides of the section are black at the room's "
                              "temperature.");
  if (!dull.empty()) {
    the_case.notes.push_back(fmt::format("No radiation from {} in at least one panel state: "
                                         "emissivity 0 (pessimistic).",
                                         join(dull)));
  }
}

Resolution read_mesh(const TomlTable& top, bool has_media) {
  const TomlTable table = table_at(top, "mesh", mesh_keys());
  Resolution resolution;
  resolution.cells_per_gap = whole_number_or(table, "cells_per_gap", 2, 200, 8);
  resolution.cells_per_sheet = whole_number_or(table, "cells_per_sheet", 1, 50, 2);
  if (has_media) {
    resolution.cells_per_medium = whole_number_or(table, "cells_per_medium", 4, 200, 12);
  } else if (find(table, "cells_per_medium") != nullptr) {
    refuse(table, "cells_per_medium", "a key for fin media",
           "only with fins seen from their faces");
  }
  resolution.growth = number_or(table, "growth", between(1.01, 2.0), 1.2);
  resolution.wall_cell = read_cell(table, "wall_cell_mm", "smallest gap / cells_per_gap");
  resolution.largest_cell = read_cell(table, "largest_cell_mm", "longer side of the section / 20");
  return resolution;
}

MakingLimits read_spacing(const TomlTable& top) {
  const Keys keys{"min_gap_mm", "min_thickness_mm"};
  const TomlTable table = table_at(top, "spacing", keys);
  const auto limit = [&table](const char* key) {
    return find(table, key) == nullptr ? std::optional<double>()
                                       : 1000.0 * length(table, key, above_zero());
  };
  return {limit("min_gap_mm"), limit("min_thickness_mm")};
}

/// What the mesh asks of a section beyond what is checked key by key.
void check_sections(const TomlTable& top, const std::string& kind, const Case& the_case) {
  for (const PanelState& panel : the_case.panels) {
    try {
      for (const NamedSection& named : sections_of(the_case, panel)) {
        check(*named.section);
      }
    } catch (const std::invalid_argument& error) {
      std::string fault = error.what();
      fault.erase(fault.find_last_not_of('.') + 1);
      refuse(top, kind,
             fmt::format("a section (panel {}) that cannot be meshed: {}", panel.name, fault),
             "a section without such a fault");
    }
  }
}

/// Refuses cell sizes that lead to more cells than can be solved, before anything is written.
void check_meshes(const TomlTable& top, const Case& the_case) {
  constexpr double most_cells = 4e6; // factors of some 40 GiB
  const std::string allowed = fmt::format("cell sizes that need at most {} cells", most_cells);
  const auto check_mesh = [&](const Section& section) {
    double n_cells = 0.0;
    try {
      const TensorMesh mesh = make_mesh(section, the_case.resolution);
      n_cells = static_cast<double>(mesh.x.n()) * mesh.y.n();
    } catch (const std::logic_error& error) {
      std::string fault = error.what();
      fault.erase(fault.find_last_not_of('.') + 1);
      refuse(top, "mesh", fmt::format("sizes that cannot be meshed: {}", fault), allowed);
    }
    if (n_cells > most_cells) {
      refuse(top, "mesh", fmt::format("sizes that need {:.3g} cells", n_cells), allowed);
    }
  };
  for (const PanelState& panel : the_case.panels) {
    for (const NamedSection& named : sections_of(the_case, panel)) {
      check_mesh(*named.section);
    }
  }
}

} // namespace

std::vector<NamedSection> sections_of(const Case& the_case, const PanelState& panel) {
  if (panel.standing.empty()) {
    return {{panel.name, &panel.section}};
  }
  std::vector<NamedSection> sections;
  for (std::size_t k = 0; k < panel.standing.size(); ++k) {
    sections.push_back({panel.name + ", " + the_case.orientations[k].name, &panel.standing[k]});
  }
  return sections;
}

std::string out_of_section(const Orientation& orientation) {
  return fmt::format("orientation {}: gravity has a part along z, and this section holds x and y "
                     "only; the section of x and z can answer: describe the cooler with length and "
                     "depth exchanged (and fins_run of a block turned between across and "
                     "along) and ask for upright",
                     orientation.name);
}

Case parse_case(const std::string& text, const std::string& name) {
  Case the_case = case_from_tree(parse_toml(text, name), name);
  the_case.text = text;
  return the_case;
}

Case case_from_tree(const TomlValue& root, const std::string& name) {
  Case the_case;
  the_case.file = name;
  the_case.text = toml_text(root);
  const TomlTable top = top_table(root, name, the_case.defaults, top_keys());
  the_case.title = text_or(top, "title", std::filesystem::path(name).stem().string());
  const std::string kind = geometry_kind(top);
  const TomlTable room_table = table_at(top, "room", room_keys());
  const Room room = read_room(room_table, kind);
  the_case.room_temperature = room.temperature;
  const Keys keys{"powers_w", "orientations", "panels"};
  const TomlTable conditions = needed_table(top, "conditions", keys);
  the_case.orientations = read_orientations(conditions);
  the_case.orientations_place = place_of(conditions, "orientations");
  const Geometry geometry = kind == "section"
                                ? read_drawn(top)
                                : read_cooler(top, room_table, room, the_case.orientations);
  the_case.notes = geometry.notes;
  the_case.calm = read_calm(room_table, geometry.panels.front().section.machine.has_value());
  the_case.spreading = geometry.spreading;
  read_limit(top, the_case);
  the_case.powers = read_powers(conditions);
  the_case.panels = read_panels(conditions, geometry.panels);
  note_spreading(the_case);
  check_shares(top, the_case);
  read_air(top, the_case);
  the_case.resolution = read_mesh(top, !geometry.panels.front().section.media.empty());
  the_case.bench = read_bench(top, geometry.panels);
  the_case.spacing = read_spacing(top);
  read_radiation(top, the_case);
  check_sections(top, kind, the_case);
  check_meshes(top, the_case);
  return the_case;
}

Case read_case(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file || std::filesystem::is_directory(path)) {
    throw InputError(fmt::format("{}: found no file that can be read, allowed a case file", path));
  }
  const std::string text{std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
  return parse_case(text, path);
}

} // namespace tiltfin
