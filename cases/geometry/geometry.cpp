#include "cases/geometry/geometry.hpp"

#include "cases/geometry/drawn_keys.hpp"
#include "cases/geometry/level_surface.hpp"
#include "cases/geometry/round_ring.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <type_traits>
#include <utility>

namespace tiltfin {
namespace {

template <typename Kind>
constexpr bool is_drawn = std::is_same_v<Kind, Drawn>;

/// Whose depth a section out of the plane can show (cases/choose/second_plane).
template <typename Kind>
constexpr bool has_second_plane = std::is_same_v<Kind, Stack> || std::is_same_v<Kind, Block>;

/// Tables that stand beside a cooler's.
const KeyTable& case_tables() {
  static const KeyTable tables{
      {.name = "board", .table = &board_keys(), .meaning = "the board that carries the cooler"},
      {.name = "case", .table = &enclosure_keys(), .meaning = "the box round the board"}};
  return tables;
}

/// "[a], [b]" with `last` before the last one; lists as [[a]].
std::string in_brackets(const KeyTable& tables, const std::string& last) {
  std::string words;
  for (std::size_t k = 0; k < tables.size(); ++k) {
    words += k == 0 ? "" : (k + 1 < tables.size() ? ", " : last);
    words += tables[k].is_list ? "[[" + tables[k].name + "]]" : "[" + tables[k].name + "]";
  }
  return words;
}

/// What makes the sections of a panel state of one kind of cooler.
struct SectionMaker {
  const Geometry& geometry;
  const Enclosure& enclosure;
  const Walls& walls;
  double emissivity = 0.0; ///< of the cooler

  Section operator()(const Drawn& drawn) const { return drawn.section; }

  template <typename Kind>
  Section operator()(Kind cooler) const {
    cooler.mount.emissivity = emissivity;
    Section section = section_of(cooler, geometry.board, enclosure, walls);
    add_parts(geometry.housing.parts, enclosure, section);
    add_level_surfaces(enclosure, section);
    return section;
  }
};

/// The ring that has a turned section where gravity lies along its axis; null: no such cooler.
const Ring* turned_ring(const Geometry& geometry) {
  const Ring* ring = std::get_if<Ring>(&geometry.cooler);
  return ring != nullptr && keeps_plane_section(*ring, geometry.board, geometry.housing).empty()
             ? ring
             : nullptr;
}

/// Whether the section of this orientation is turned about the core's axis.
bool is_turned_in(const Geometry& geometry, std::size_t orientation) {
  return turned_ring(geometry) != nullptr && is_along_core(geometry.orientations[orientation]);
}

/// How many sections a panel state has: one for all orientations, or one for each.
std::size_t section_count(const Geometry& geometry) {
  const std::size_t n = geometry.orientations.size();
  std::size_t turned = 0;
  for (std::size_t k = 0; k < n; ++k) {
    turned += is_turned_in(geometry, k) ? 1 : 0;
  }
  return geometry.housing.enclosures.size() > 1 || (turned > 0 && turned < n) ? n : 1;
}

Section turned_section(const Geometry& geometry, const Enclosure& enclosure, const Walls& walls,
                       double emissivity) {
  Ring ring = *turned_ring(geometry);
  ring.mount.emissivity = emissivity;
  return round_section_of(ring, geometry.board, enclosure, walls);
}

PanelState make_panel(const Geometry& geometry, const Panel& panel, const Finish& finish,
                      double radiant_zone) {
  PanelState state;
  state.finish = finish.name;
  const std::vector<Enclosure>& enclosures = geometry.housing.enclosures;
  for (std::size_t k = 0; k < section_count(geometry); ++k) {
    const Enclosure& enclosure = enclosures[enclosures.size() == 1 ? 0 : k];
    const SectionMaker maker{geometry, enclosure, panel.walls, finish.emissivity};
    try {
      Section section = std::visit(maker, geometry.cooler); // it checks that all fits
      section.radiant_zone = radiant_zone;
      if (is_turned_in(geometry, k)) {
        state.at_angles = state.at_angles.value_or(section);
        section = turned_section(geometry, enclosure, panel.walls, finish.emissivity);
        section.radiant_zone = radiant_zone;
      }
      state.sections.push_back(std::move(section));
    } catch (const DoesNotFit& error) {
      throw InputError(fmt::format("{}: {}", geometry.place, error.what()));
    }
  }
  return state;
}

/// Every panel state, as declared, with every finish.
template <typename Take>
void for_each_panel(const Geometry& geometry, const Take& take) {
  for (const Finish& finish : geometry.finishes) {
    for (const Panel& panel : geometry.housing.panels) {
      take(finish.name.empty() ? panel.name : panel.name + "-" + finish.name, panel, finish);
    }
  }
}

} // namespace

KeyTable geometry_tables() {
  KeyTable tables;
  for (const CoolerKind& kind : cooler_kinds()) {
    tables.push_back({.name = kind.table, .table = &kind.keys(), .meaning = "a cooler"});
  }
  return joined(joined(tables, case_tables()), drawn_tables());
}

std::string geometry_table(const TomlTable& top) {
  KeyTable kinds;
  for (const CoolerKind& kind : cooler_kinds()) {
    kinds.push_back({.name = kind.table});
  }
  kinds.push_back({.name = Drawn::table});
  const std::string all = in_brackets(kinds, ", ");
  std::string found;
  for (const Key& kind : kinds) {
    if (find(top, kind.name) == nullptr) {
      continue;
    }
    if (!found.empty()) {
      refuse(top, kind.name, fmt::format("[{}] beside [{}]", kind.name, found), "one of " + all);
    }
    found = kind.name;
  }
  if (found.empty()) {
    refuse(top, kinds.front().name, "none of " + all, "exactly one of them");
  }
  const bool drawn = found == Drawn::table;
  const KeyTable drawn_only(drawn_tables().begin() + 1, drawn_tables().end());
  const KeyTable case_only = joined(case_tables(), {{.name = "part", .is_list = true}});
  for (const Key& other : drawn ? case_only : drawn_only) {
    if (find(top, other.name) != nullptr) {
      refuse(top, other.name, fmt::format("[{}] beside [{}]", other.name, found),
             drawn ? in_brackets(case_only, " and ") + " only with " + cooler_tables_in_words()
                   : in_brackets(drawn_only, " and ") + " only with [section]");
    }
  }
  return found;
}

Geometry read_geometry(const TomlTable& top, const TomlTable& room_table, const Room& room,
                       const std::vector<Orientation>& orientations) {
  const std::string name = geometry_table(top);
  Geometry geometry;
  geometry.place = place_of(top, name);
  if (name == Drawn::table) {
    geometry.cooler = read_drawn(top);
    geometry.housing = {{Enclosure{}}, {{"as-drawn", {}}}, {}};
    geometry.finishes = {{}};
    geometry.orientations = orientations;
    return geometry;
  }
  geometry.housing = read_housing(top, room_table, room, orientations);
  geometry.board = read_board(needed_table(top, "board"), geometry.housing.enclosures.front());
  const TomlTable table = table_at(top, name);
  const auto kinds = cooler_kinds();
  const auto kind =
      std::ranges::find_if(kinds, [&](const CoolerKind& k) { return k.table == name; });
  geometry.cooler = kind->read(table, geometry.board);
  geometry.finishes = read_finishes(table);
  geometry.orientations = orientations;
  return geometry;
}

bool has_machine(const Geometry& geometry) {
  const Drawn* drawn = std::get_if<Drawn>(&geometry.cooler);
  return drawn != nullptr ? drawn->section.machine.has_value()
                          : geometry.housing.enclosures.front().margin > 0.0;
}

bool has_media(const Geometry& geometry) {
  return std::visit([](const auto& cooler) { return has_media(cooler); }, geometry.cooler);
}

double spreading_of(const Geometry& geometry) {
  return std::visit(
      [](const auto& cooler) {
        if constexpr (is_drawn<std::decay_t<decltype(cooler)>>) {
          return 0.0;
        } else {
          return spreading_of(cooler.mount);
        }
      },
      geometry.cooler);
}

std::vector<std::string> notes_of(const Geometry& geometry) {
  return std::visit(
      [&](const auto& cooler) {
        std::vector<std::string> notes;
        const auto add = [&notes](const std::vector<std::string>& more) {
          notes.insert(notes.end(), more.begin(), more.end());
        };
        if constexpr (is_drawn<std::decay_t<decltype(cooler)>>) {
          add(notes_of(cooler));
        } else {
          if (const Ring* ring = std::get_if<Ring>(&geometry.cooler)) {
            add(round_notes(*ring, geometry.board, geometry.housing, geometry.orientations));
          }
          add(mount_notes(cooler.mount, has_machine(geometry)));
          add(notes_of(cooler));
          if constexpr (has_second_plane<std::decay_t<decltype(cooler)>>) {
            add({"Lying flat, tiltfin ends says what air through the two ends would bring."});
          }
          add(part_notes(geometry.housing.parts, cooler.mount.depth));
          add(level_notes(geometry.housing.enclosures));
        }
        return notes;
      },
      geometry.cooler);
}

std::vector<std::string> panel_names(const Geometry& geometry) {
  std::vector<std::string> names;
  for_each_panel(geometry, [&](const std::string& name, const Panel& /*panel*/,
                               const Finish& /*finish*/) { names.push_back(name); });
  return names;
}

std::vector<PanelState> make_panels(const Geometry& geometry, const std::vector<std::string>& names,
                                    double radiant_zone) {
  std::vector<PanelState> panels(names.size());
  for_each_panel(geometry, [&](const std::string& name, const Panel& panel, const Finish& finish) {
    const auto place = std::ranges::find(names, name);
    if (place != names.end()) {
      PanelState& state = panels[static_cast<std::size_t>(place - names.begin())];
      state = make_panel(geometry, panel, finish, radiant_zone);
      state.name = name;
    }
  });
  return panels;
}

} // namespace tiltfin
