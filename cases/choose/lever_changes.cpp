#include "cases/choose/lever_changes.hpp"

#include "cases/choose/fin_array.hpp"
#include "cases/geometry/finishes.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

namespace tiltfin {
namespace {

using Placings = std::vector<Placing>;

/// What is being put together.
struct LeverList {
  const Case& the_case;
  const Placings& asked;
  LeverChanges found{};

  void refuse(LeverKind lever, const std::string& reason, const Placings& placings) {
    if (!placings.empty()) {
      found.absent.push_back({lever, reason, placings});
    }
  }
  void refuse(LeverKind lever, const std::string& reason) { refuse(lever, reason, asked); }

  /// Takes over what `make` makes of the case, or the reason why it is refused.
  void add(LeverKind lever, const std::string& name, const std::string& words,
           const Placings& placings, const std::function<Case()>& make) {
    if (placings.empty()) {
      return;
    }
    try {
      found.changes.push_back({lever, name, words, make(), placings});
    } catch (const InputError& error) {
      const std::string message = error.what();
      const std::size_t place = message.find("found ");
      refuse(lever,
             fmt::format("{}: does not fit, {}", words,
                         place == std::string::npos ? message : message.substr(place)),
             placings);
    }
  }

  /// The same with another tree.
  void add(LeverKind lever, const std::string& name, const std::string& words,
           const Placings& placings, const TomlValue& root) {
    add(lever, name, words, placings, [&] { return case_from_tree(root, the_case.file); });
  }
};

void set_text(TomlValue& table, const std::string& key, const std::string& text) {
  TomlValue& place = made_entry(table, key);
  place.kind = TomlValue::Kind::text;
  place.text = text;
}

std::string text_at_key(const TomlValue& table, const std::string& key) {
  const TomlValue* value = entry(table, key);
  return value == nullptr ? "" : value->text;
}

/// To a tenth of a nanometre, so that no digits of rounding are shown or meshed.
double rounded(double value_mm) {
  return std::round(1e7 * value_mm) / 1e7;
}

/// How a table's surface is finished.
struct Surface {
  std::string words; ///< "bare-aluminium (0.2)"
  double emissivity = 0.0;
  bool is_given = false;
  bool is_compared = false; ///< several finishes are
};

Surface surface_of(const TomlValue& table) {
  const TomlValue* finish = entry(table, "finish");
  if (finish != nullptr) {
    const bool is_list = finish->kind == TomlValue::Kind::list;
    const std::string name = is_list ? finish->items.front().text : finish->text;
    const double emissivity = emissivity_of_finish(name);
    return {fmt::format("{} ({:g})", name, emissivity), emissivity, true,
            is_list && finish->items.size() > 1};
  }
  const TomlValue* emissivity = entry(table, "emissivity");
  if (emissivity != nullptr) {
    return {fmt::format("an emissivity of {:g}", emissivity->number), emissivity->number, true,
            false};
  }
  return {"a surface that does not radiate", 0.0, false, false};
}

void set_finish(TomlValue& table, const std::string& finish) {
  remove_entry(table, "emissivity");
  set_text(table, "finish", finish);
}

std::string finish_words(const std::string& finish, const std::string& before) {
  return fmt::format("{} ({:g}) in place of {}", finish, emissivity_of_finish(finish), before);
}

/// The tables of base, fins and fin media in a drawn section.
std::vector<TomlValue*> drawn_cooler(TomlValue& root) {
  std::vector<TomlValue*> tables;
  if (TomlValue* solids = entry(root, "solid")) {
    for (TomlValue& solid : solids->items) {
      const std::string role = text_at_key(solid, "role");
      if (role == "base" || role == "fin") {
        tables.push_back(&solid);
      }
    }
  }
  if (TomlValue* media = entry(root, "medium")) {
    for (TomlValue& medium : media->items) {
      tables.push_back(&medium);
    }
  }
  return tables;
}

void add_finish(LeverList& list) {
  TomlValue root = list.the_case.tree;
  const bool is_drawn = std::holds_alternative<Drawn>(list.the_case.cooler);
  const std::vector<TomlValue*> tables =
      is_drawn ? drawn_cooler(root)
               : std::vector<TomlValue*>{entry(root, table_of(list.the_case.cooler))};
  if (tables.empty()) {
    list.refuse(LeverKind::finish, "no solid of role base or fin and no medium is drawn");
    return;
  }
  std::string before;
  for (TomlValue* table : tables) {
    const Surface surface = surface_of(*table);
    if (surface.is_compared) {
      return; // every finish has panel states of its own
    }
    if (surface.emissivity < emissivity_of_finish(cooler_finish)) {
      before = before.empty() || before == surface.words ? surface.words : "what they have";
      set_finish(*table, cooler_finish);
    }
  }
  if (before.empty()) {
    list.refuse(LeverKind::finish, fmt::format("the cooler radiates as well as {} already: {}",
                                               cooler_finish, surface_of(*tables.front()).words));
    return;
  }
  list.add(LeverKind::finish, fmt::format("finish_{}", cooler_finish),
           finish_words(cooler_finish, before), list.asked, root);
}

bool has_walls(const Section& section) {
  const bool is_sheet = std::ranges::any_of(
      section.solids, [](const Solid& solid) { return solid.role == Role::wall; });
  const bool is_side = !section.machine && std::ranges::any_of(section.sides, [](const Side& side) {
    return is_wall(side.kind);
  });
  return is_sheet || is_side;
}

const PanelState& panel_of(const Case& the_case, const std::string& name) {
  return *std::ranges::find(the_case.panels, name, &PanelState::name);
}

/// Those of `placings` whose panel state is so.
template <class Is>
Placings placings_where(const LeverList& list, const Is& is) {
  Placings placings;
  std::ranges::copy_if(list.asked, std::back_inserter(placings), [&](const Placing& placing) {
    return is(panel_of(list.the_case, placing.panel));
  });
  return placings;
}

void add_walls(LeverList& list) {
  TomlValue root = list.the_case.tree;
  TomlValue* box = entry(root, "case");
  if (box == nullptr) {
    list.refuse(LeverKind::walls, "no [case] is described");
    return;
  }
  const auto stands = [](const PanelState& panel) { return has_walls(panel.sections.front()); };
  const Placings placings = placings_where(list, stands);
  list.refuse(LeverKind::walls, "no wall of the case stands",
              placings_where(list, [&](const PanelState& panel) { return !stands(panel); }));
  const Surface surface = surface_of(*box);
  if (!surface.is_given) {
    list.refuse(LeverKind::walls, "no finish of the walls is described", placings);
  } else if (surface.emissivity >= emissivity_of_finish(wall_finish)) {
    list.refuse(
        LeverKind::walls,
        fmt::format("the walls radiate as well as {} already: {}", wall_finish, surface.words),
        placings);
  } else {
    set_finish(*box, wall_finish);
    list.add(LeverKind::walls, fmt::format("walls_{}", wall_finish),
             finish_words(wall_finish, surface.words), placings, root);
  }
}

void add_gap(LeverList& list, const FinArray& drawn, int count, const CountRange& range,
             double min_gap_mm) {
  const bool is_plates = drawn.kind == FinKind::plates;
  const char* what = is_plates ? "plate" : "fin";
  const char* plural = count == 1 ? "" : "s";
  if (count < range.fewest) {
    list.refuse(LeverKind::gap, fmt::format("fewer than {} {}s leave no gap", drawn.count, what));
    return;
  }
  if (count > range.most) {
    list.refuse(LeverKind::gap,
                fmt::format("{} {}s would leave gaps below {:g} mm, the least that can be made",
                            count, what, min_gap_mm));
    return;
  }
  const FinArray array = with_count(drawn, count);
  list.add(LeverKind::gap, "gap_" + layout_name(array),
           fmt::format("{} {}{} {:.3g} mm apart in place of {} at {:.3g} mm", count, what, plural,
                       1000.0 * array.gap, drawn.count, 1000.0 * drawn.gap),
           list.asked, [&] { return with_fins(list.the_case, array); });
}

void add_gaps(LeverList& list) {
  const std::optional<FinArray> drawn = [&]() -> std::optional<FinArray> {
    try {
      return fin_array(list.the_case);
    } catch (const InputError&) {
      return std::nullopt;
    }
  }();
  if (!drawn) {
    list.refuse(LeverKind::gap, fmt::format("the fins of a [{}] cannot be laid out anew",
                                            table_of(list.the_case.cooler)));
    return;
  }
  const double min_gap_mm = list.the_case.spacing.min_gap_mm.value_or(usual_min_gap_mm);
  const CountRange range = counts_for_gaps(*drawn, min_gap_mm / 1000.0, drawn->outer);
  const int step = drawn->count >= many_fins ? 2 : 1;
  add_gap(list, *drawn, drawn->count - step, range, min_gap_mm);
  add_gap(list, *drawn, drawn->count + step, range, min_gap_mm);
}

void add_size(LeverList& list) {
  if (std::holds_alternative<Drawn>(list.the_case.cooler)) {
    list.refuse(LeverKind::size, "a drawn section does not say what its fins are");
    return;
  }
  TomlValue root = list.the_case.tree;
  TomlValue& table = *entry(root, table_of(list.the_case.cooler));
  const bool is_stack = std::holds_alternative<Stack>(list.the_case.cooler);
  const char* key = is_stack ? "plate_length_mm" : "fin_height_mm";
  const double before = entry(table, key)->number;
  const double after = rounded((1.0 + size_step) * before);
  set_number(table, key, after);
  if (is_stack) { // they count from the plate's lower end, and stay where they are
    for (TomlValue& position : entry(table, "column_positions_mm")->items) {
      position.number = rounded(position.number + 0.5 * (after - before));
      position.is_whole = false;
    }
  }
  list.add(LeverKind::size, fmt::format("size_{:g}", after),
           fmt::format("{} {:g} mm {} in place of {:g}", is_stack ? "plates" : "fins", after,
                       is_stack ? "long" : "high", before),
           list.asked, root);
}

/// Opens a quarter of what is closed; in words.
std::string open_grille(TomlValue& table) {
  const double before = entry(table, "free_area_ratio")->number;
  const double after = rounded(std::min(0.99, before + grille_step * (1.0 - before)));
  set_number(table, "free_area_ratio", after);
  return fmt::format("free area {:.3g} in place of {:.3g}", after, before);
}

void add_drawn_grilles(LeverList& list) {
  TomlValue root = list.the_case.tree;
  TomlValue* grilles = entry(root, "grille");
  if (grilles == nullptr || grilles->items.empty()) {
    list.refuse(LeverKind::grille, "no grille is described");
    return;
  }
  std::string words;
  for (TomlValue& grille : grilles->items) {
    const std::string own = open_grille(grille);
    words = words.empty() || words == own ? own : "a quarter of what is closed opened";
  }
  list.add(LeverKind::grille, "grille", words, list.asked, root);
}

void add_grilles(LeverList& list) {
  if (std::holds_alternative<Drawn>(list.the_case.cooler)) {
    add_drawn_grilles(list);
    return;
  }
  const auto has_grille = [](const PanelState& panel) {
    return !panel.sections.front().grilles.empty();
  };
  list.refuse(LeverKind::grille, "no grille is described",
              placings_where(list, [&](const PanelState& panel) { return !has_grille(panel); }));
  const TomlValue* panels = entry(*entry(list.the_case.tree, "case"), "panel");
  for (std::size_t k = 0; panels != nullptr && k < panels->items.size(); ++k) {
    TomlValue root = list.the_case.tree;
    TomlValue& table = entry(*entry(root, "case"), "panel")->items[k];
    const std::string name = text_at_key(table, "name");
    const Placings placings = placings_where(list, [&](const PanelState& panel) {
      return has_grille(panel) && declared_name(panel) == name;
    });
    if (!placings.empty()) {
      const std::string words = open_grille(table);
      list.add(LeverKind::grille, "grille_" + name, words, placings, root);
    }
  }
}

/// Whether a [[room.surface]] is there in this orientation.
bool is_there(const TomlValue& surface, const std::string& orientation) {
  const TomlValue* orientations = entry(surface, "orientations");
  if (orientations == nullptr) {
    return true;
  }
  return std::ranges::find(orientations->items, orientation, &TomlValue::text) !=
         orientations->items.end();
}

void add_feet(LeverList& list) {
  Placings without = list.asked;
  const TomlValue* room = entry(list.the_case.tree, "room");
  const TomlValue* surfaces = room == nullptr ? nullptr : entry(*room, "surface");
  for (std::size_t k = 0; surfaces != nullptr && k < surfaces->items.size(); ++k) {
    TomlValue root = list.the_case.tree;
    TomlValue& surface = entry(*entry(root, "room"), "surface")->items[k];
    if (text_at_key(surface, "at") != "below") {
      continue;
    }
    Placings placings;
    for (const Placing& placing : list.asked) {
      if (is_there(surface, placing.orientation)) {
        placings.push_back(placing);
        std::erase(without, placing);
      }
    }
    const double before = entry(surface, "distance_mm")->number;
    set_number(surface, "distance_mm", rounded(before + feet_step_mm));
    list.add(LeverKind::feet, fmt::format("feet_{}", k + 1),
             fmt::format("{:g} mm above what it stands on in place of {:g}", before + feet_step_mm,
                         before),
             placings, root);
  }
  list.refuse(LeverKind::feet, "no surface below is described ([[room.surface]])", without);
}

} // namespace

std::string declared_name(const PanelState& panel) {
  return panel.finish.empty() ? panel.name
                              : panel.name.substr(0, panel.name.size() - panel.finish.size() - 1);
}

double emissivity_of_finish(const std::string& finish) {
  const auto known = known_finishes();
  const auto found = std::ranges::find(known, finish, &Finish::name);
  return found == known.end() ? 0.0 : found->emissivity;
}

LeverChanges lever_changes(const Case& the_case, const Placings& placings) {
  LeverList list{the_case, placings};
  add_finish(list);
  add_walls(list);
  add_gaps(list);
  add_size(list);
  add_grilles(list);
  add_feet(list);
  return list.found;
}

} // namespace tiltfin
