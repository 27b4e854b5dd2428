#include "cases/file/case.hpp"

#include "cases/file/air_table.hpp"
#include "cases/file/case_keys.hpp"
#include "cases/file/conditions.hpp"
#include "cases/file/limit.hpp"
#include "cases/file/mesh_table.hpp"
#include "cases/geometry/geometry.hpp"
#include "cases/input/toml_text.hpp"
#include "cases/input/whole_file.hpp"
#include "mesh/mesh_error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace tiltfin {
namespace {

void note_spreading(Case& the_case) {
  if (the_case.spreading > 0.0) {
    the_case.notes.push_back(fmt::format(
        "From under the chip to the mean of the base heat spreads against {:.3g} K/W, in series "
        "with the section and with die_to_base.",
        the_case.spreading));
  } else if (std::ranges::any_of(the_case.panels.front().sections, [](const Section& section) {
               return section.base >= 0 && !section.axis_distance;
             })) {
    the_case.notes.emplace_back("Spreading of heat along the depth is not resisted (optimistic).");
  }
}

/// Heat shares add up to 1 when any power is above zero.
void check_shares(const TomlTable& top, const Case& the_case) {
  double total = 0.0;
  for (const Solid& solid : the_case.panels.front().sections.front().solids) {
    total += solid.heat_share;
  }
  for (const FinMedium& medium : the_case.panels.front().sections.front().media) {
    total += medium.heat_share;
  }
  if (the_case.powers.back() > 0.0 && std::abs(total - 1.0) > 1e-9) {
    refuse(top, "solid", "heat shares that add up to " + show(total),
           "1, because conditions.powers_w has a power above 0");
  }
}

/// Whether radiation is included, and what does not radiate.
void note_radiation(Case& the_case) {
  std::vector<std::string> dull;
  bool any = false;
  for (const PanelState& panel : the_case.panels) {
    const Section& section = panel.sections.front();
    any = any || radiates(section);
    const auto note = [&dull](const auto& body) {
      if (body.emissivity == 0.0 && std::ranges::find(dull, body.name) == dull.end()) {
        dull.push_back(body.name);
      }
    };
    std::ranges::for_each(section.solids, note);
    std::ranges::for_each(section.media, note);
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

/// Sides between which and the room the tables of air do not reach.
void check_sides(const TomlTable& top, const Case& the_case) {
  const double room = the_case.room_temperature;
  const auto celsius_at = [room](double film) { return 2.0 * film - room - zero_celsius; };
  const Section& section = the_case.panels.front().sections.front();
  for (std::size_t k = 0; k < section.sides.size(); ++k) {
    const Side& side = section.sides[k];
    const double film = 0.5 * (side.temperature + room);
    const bool is_in_air = side.kind == SideKind::isothermal || side.kind == SideKind::open ||
                           side.kind == SideKind::film;
    if (is_in_air && (film < coldest_film || film > hottest_film)) {
      refuse(table_at(table_at(top, "sides"), side_names[k]),
             side.kind == SideKind::isothermal ? "temperature_c" : "outside_c",
             show(side.temperature - zero_celsius),
             fmt::format("{:.6g} to {:.6g}, with a room at {} and air of the tables (film {:g} to "
                         "{:g} K); more with constants in [air]",
                         celsius_at(coldest_film), celsius_at(hottest_film),
                         show(room - zero_celsius), coldest_film, hottest_film));
    }
  }
}

/// What the mesh asks of a section beyond what is checked key by key.
void check_sections(const TomlTable& top, const std::string& kind, const Case& the_case) {
  for (const PanelState& panel : the_case.panels) {
    try {
      for (const NamedSection& named : sections_of(the_case, panel)) {
        check(*named.section);
      }
    } catch (const MeshError& error) {
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
    } catch (const MeshError& error) {
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
  if (panel.sections.size() == 1) {
    return {{panel.name, &panel.sections.front()}};
  }
  std::vector<NamedSection> sections;
  for (std::size_t k = 0; k < panel.sections.size(); ++k) {
    sections.push_back({panel.name + ", " + the_case.orientations[k].name, &panel.sections[k]});
  }
  return sections;
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
  the_case.tree = root;
  const TomlTable top = top_table(root, name, the_case.defaults, case_keys());
  the_case.title = text_or(top, "title", std::filesystem::path(name).stem().string());
  const std::string described_by = geometry_table(top);
  const TomlTable room_table = table_at(top, "room");
  const Room room = read_room(room_table, described_by != Drawn::table);
  the_case.room_temperature = room.temperature;
  const TomlTable conditions = needed_table(top, "conditions");
  the_case.orientations = read_orientations(conditions);
  the_case.orientations_place = place_of(conditions, "orientations");
  the_case.tilts = read_tilts(conditions);
  check_surfaces_turn(root, the_case.tilts);
  const Geometry geometry = read_geometry(top, room_table, room, the_case.orientations);
  the_case.cooler = geometry.cooler;
  the_case.case_depth = geometry.housing.enclosures.front().depth;
  the_case.board_depth = geometry.board.depth;
  the_case.notes = notes_of(geometry);
  the_case.calm = read_calm(room_table, has_machine(geometry));
  const Limit limit = read_limit(top, room.temperature, spreading_of(geometry));
  the_case.limit_temperature = limit.temperature;
  the_case.die_to_base = limit.die_to_base;
  the_case.spreading = limit.spreading;
  the_case.powers = read_powers(conditions);
  the_case.adds_powers = read_adds_powers(conditions);
  const std::vector<std::string> all_panels = panel_names(geometry);
  const std::vector<std::string> panels = read_panels(conditions, all_panels);
  const AirTable air = read_air(top);
  the_case.air = air.constants;
  the_case.gravity = air.gravity;
  const TomlTable mesh = table_at(top, "mesh");
  the_case.resolution = read_resolution(mesh, has_media(geometry));
  the_case.bench = read_bench(top, all_panels);
  the_case.spacing = read_spacing(top);
  the_case.panels = make_panels(geometry, panels, read_radiant_zone(mesh));
  check_tilts_in_section(the_case.panels.front().section_at_angles(), the_case.tilts);
  if (!the_case.air && described_by == Drawn::table) {
    check_sides(top, the_case);
  }
  note_spreading(the_case);
  note_radiation(the_case);
  check_shares(top, the_case);
  check_sections(top, described_by, the_case);
  check_meshes(top, the_case);
  return the_case;
}

Case read_case(const std::string& path) {
  return parse_case(read_whole_file(path, "a case file", largest_case_file), path);
}

} // namespace tiltfin
