#include "cases/choose/second_plane.hpp"

#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

namespace tiltfin {
namespace {

constexpr int most_columns = 20;       // that a case file may have
constexpr double beside_cooler = 0.02; // at either end, where the case's depth is not given [m]

double in_mm(double length) {
  return rounded_mm(length);
}

void put(TomlValue& table, const std::string& key, TomlValue value) {
  value.line = table.line;
  made_entry(table, key) = std::move(value);
}

TomlValue text_value(const std::string& text) {
  TomlValue value;
  value.kind = TomlValue::Kind::text;
  value.text = text;
  return value;
}

TomlValue number_list(const std::vector<double>& numbers) {
  TomlValue list;
  list.kind = TomlValue::Kind::list;
  for (const double number : numbers) {
    TomlValue& item = list.items.emplace_back();
    item.kind = TomlValue::Kind::number;
    item.number = number;
  }
  return list;
}

TomlValue text_list(const std::vector<std::string>& texts) {
  TomlValue list;
  list.kind = TomlValue::Kind::list;
  for (const std::string& text : texts) {
    list.items.push_back(text_value(text));
  }
  return list;
}

std::vector<std::string> texts_at(const TomlValue& table, const std::string& key) {
  std::vector<std::string> texts;
  if (const TomlValue* list = entry(table, key)) {
    for (const TomlValue& item : list->items) {
      texts.push_back(item.text);
    }
  }
  return texts;
}

/// What the walls out of the plane are in a panel state: "sheet", "open" or "grille".
std::string ends_of(const TomlValue& panel) {
  const TomlValue* given = entry(panel, "ends");
  if (given != nullptr) {
    return given->text;
  }
  return texts_at(panel, "open").size() == 4 ? "open" : "sheet";
}

bool is_along_x(const std::string& side) {
  return side == "west" || side == "east";
}

/// Air comes through walls that the second plane does not show, whose own ends are sheet.
bool loses_air(const TomlValue& panel) {
  bool any = false;
  for (const char* key : {"open", "grille"}) {
    any = any || !std::ranges::all_of(texts_at(panel, key), is_along_x);
  }
  return any && ends_of(panel) == "sheet";
}

/// Walls along x stay; those along y become what the ends are.
void turn_panel(TomlValue& panel) {
  const std::string ends = ends_of(panel);
  bool any_grille = false;
  for (const char* key : {"open", "grille"}) {
    std::vector<std::string> sides = texts_at(panel, key);
    std::erase_if(sides, [](const std::string& side) { return !is_along_x(side); });
    if (ends == key) {
      sides.insert(sides.end(), {"south", "north"});
    }
    const bool is_grille = std::string(key) == "grille";
    if (is_grille && sides.empty()) {
      remove_entry(panel, key);
    } else {
      put(panel, key, text_list(sides));
    }
    any_grille = any_grille || (is_grille && !sides.empty());
  }
  remove_entry(panel, "ends");
  if (!any_grille) {
    remove_entry(panel, "free_area_ratio");
    remove_entry(panel, "hole_diameter_mm");
  }
}

/// How deep case and board are taken to be [m].
struct Depths {
  double box = 0.0;
  double board = 0.0;
};

Depths depths_of(const Case& the_case, double cooler_depth, double chip_depth) {
  const double height = entry(*entry(the_case.tree, "case"), "height_mm")->number / 1000.0;
  const double board = entry(*entry(the_case.tree, "board"), "height_mm")->number / 1000.0;
  Depths depths{the_case.case_depth, the_case.board_depth};
  if (depths.box == 0.0) {
    depths.box = std::max({height, cooler_depth + 2.0 * beside_cooler, depths.board});
  }
  if (depths.board == 0.0) {
    depths.board = std::min(std::max(board, chip_depth), depths.box);
  }
  return depths;
}

/// The case and the board; notes what the second plane lacks.
void turn_housing(const Depths& depths, TomlValue& root, std::vector<std::string>& notes) {
  TomlValue& box = *entry(root, "case");
  const double height = entry(box, "height_mm")->number;
  set_number(box, "height_mm", in_mm(depths.box));
  set_number(box, "depth_mm", height);
  if (TomlValue* panels = entry(box, "panel")) {
    if (std::ranges::any_of(panels->items, loses_air)) {
      notes.emplace_back(
          "Walls to the south and north that let air through are not in the second plane, whose "
          "own ends are sheet (case.panel.ends): it is warmer than the machine, and what it adds, "
          "and with it \"no more\", too little.");
    }
    std::ranges::for_each(panels->items, turn_panel);
  }
  TomlValue& board = *entry(root, "board");
  const double board_height = entry(board, "height_mm")->number;
  set_number(board, "height_mm", in_mm(depths.board));
  set_number(board, "depth_mm", board_height);
  remove_entry(board, "bottom_mm");
}

/// Surfaces of the room that the second plane shows, in orientations that are left.
void turn_room(TomlValue& root) {
  TomlValue* room = entry(root, "room");
  TomlValue* surfaces = room == nullptr ? nullptr : entry(*room, "surface");
  if (surfaces == nullptr) {
    return;
  }
  const TomlValue& kept = *entry(*entry(root, "conditions"), "orientations");
  std::erase_if(surfaces->items, [&](TomlValue& surface) {
    const std::string& at = entry(surface, "at")->text;
    TomlValue* orientations = entry(surface, "orientations");
    if (orientations != nullptr) {
      std::erase_if(orientations->items, [&](const TomlValue& one) {
        return std::ranges::none_of(kept.items, [&](const TomlValue& other) {
          return other.text == one.text && other.number == one.number;
        });
      });
    }
    return at == "south" || at == "north" ||
           (orientations != nullptr && orientations->items.empty());
  });
  if (surfaces->items.empty()) {
    remove_entry(*room, "surface");
  }
}

double chip_depth(const Mount& mount) {
  return mount.chip_depth > 0.0 ? mount.chip_depth : mount.depth;
}

/// The chip's other side first; no part of it outside a base of this length and depth.
void turn_chip(const Mount& mount, double base_length, double depth, TomlValue& table) {
  const double whole = chip_depth(mount);
  const double area = mount.chip.length * whole;
  const double length = std::min(whole, base_length);
  set_number(table, "chip_length_mm", in_mm(length));
  set_number(table, "chip_depth_mm", in_mm(std::min(area / length, depth)));
}

/// Plates of the other length on a base of the same area; the columns feed them evenly.
struct TurnedCooler {
  TomlValue& table;
  std::vector<std::string>& notes;

  void operator()(const Stack& stack) const {
    const double plate_depth = stack.mount.depth;
    const double base_length =
        std::min(stack.mount.base_length * stack.mount.depth / stack.plate_length, plate_depth);
    set_number(table, "depth_mm", in_mm(stack.plate_length));
    set_number(table, "plate_length_mm", in_mm(plate_depth));
    set_number(table, "base_length_mm", in_mm(base_length));
    turn_chip(stack.mount, base_length, stack.plate_length, table);
    const int n = std::min(
        most_columns,
        static_cast<int>(std::ceil(plate_depth / std::min(base_length, plate_depth) - 1e-9)));
    const double width = std::min(plate_depth / n, base_length);
    std::vector<double> centres;
    centres.reserve(static_cast<std::size_t>(n));
    for (int k = 0; k < n; ++k) {
      centres.push_back(in_mm((k + 0.5) * plate_depth / n));
    }
    put(table, "column_positions_mm", number_list(centres));
    set_number(table, "column_width_mm", in_mm(std::min(width, 2.0 * centres.front() / 1000.0)));
    notes.emplace_back("In the second plane the columns feed the plates evenly along their depth, "
                       "and the base has its area, not its shape.");
  }

  void operator()(const Block& block) const {
    const Mount& mount = block.mount;
    const double span = block.along ? mount.depth : mount.base_length;
    const double gap = (span - block.fins * block.fin_thickness) / (block.fins - 1);
    const double run = block.along ? mount.base_length : mount.depth;
    put(table, "fins_run", text_value(block.along ? "across" : "along"));
    remove_entry(table, "base_length_mm");
    remove_entry(table, "depth_mm");
    set_number(table, "fin_gap_mm", in_mm(gap));
    set_number(table, block.along ? "depth_mm" : "base_length_mm", in_mm(run));
    turn_chip(mount, mount.depth, mount.base_length, table);
  }

  template <typename Other>
  void operator()(const Other& /*other*/) const {}
};

void refuse_kind(const Case& the_case) {
  const std::string table = table_of(the_case.cooler);
  const int line = entry(the_case.tree, table)->line;
  if (std::holds_alternative<Drawn>(the_case.cooler)) {
    refuse_at(the_case.file, line, table, "a drawn section",
              "[stack] or [block]: draw and solve the second plane yourself");
  }
  if (std::holds_alternative<Ring>(the_case.cooler)) {
    refuse_at(the_case.file, line, table, "a [ring]",
              "[stack] or [block]: fins of a ring stand like spokes, and one section through its "
              "axis is as good as another");
  }
  const Block* block = std::get_if<Block>(&the_case.cooler);
  if (block != nullptr && block->fins < 2) {
    refuse_at(the_case.file, line, table, "a block of one fin", "two fins or more");
  }
  if (const TomlValue* parts = entry(the_case.tree, "part")) {
    refuse_at(the_case.file, parts->line, "part", "[[part]]",
              "none: where parts lie out of the plane is not known");
  }
}

/// What stands out of the plane on the board; of another cooler none.
const Mount* mount_of(const Cooler& cooler) {
  return std::visit(
      [](const auto& one) -> const Mount* {
        if constexpr (requires { one.mount; }) {
          return &one.mount;
        } else {
          return nullptr;
        }
      },
      cooler);
}

/// The list of [conditions] lying flat, as it stands in the file.
void keep_flat(const Case& the_case, TomlValue& root) {
  TomlValue& conditions = *entry(root, "conditions");
  TomlValue* list = entry(conditions, "orientations");
  TomlValue kept;
  kept.kind = TomlValue::Kind::list;
  kept.items.reserve(the_case.orientations.size());
  for (std::size_t k = 0; list != nullptr && k < the_case.orientations.size(); ++k) {
    if (lies_flat(the_case.orientations[k])) {
      kept.items.push_back(list->items[k]);
    }
  }
  if (kept.items.empty()) {
    throw InputError(fmt::format(
        "{}: found no orientation lying flat, allowed flat-up, flat-down or both among them: only "
        "then gravity lies in both planes. Otherwise it runs along the gaps of the first and "
        "across the second, whose ends add little",
        the_case.orientations_place));
  }
  put(conditions, "orientations", kept);
  remove_entry(conditions, "tilts");
}

/// Its smallest power alone, where those near the limit are added: the others say nothing that is
/// asked of the second plane.
void keep_one_power(const Case& the_case, TomlValue& root) {
  const auto least =
      std::ranges::find_if(the_case.powers, [](double power_w) { return power_w > 0.0; });
  if (the_case.adds_powers && least != the_case.powers.end()) {
    put(*entry(root, "conditions"), "powers_w", number_list({*least}));
  }
}

} // namespace

bool lies_flat(const Orientation& orientation) {
  return std::abs(orientation.down[1]) < 1e-9 && std::abs(orientation.down[2]) < 1e-9;
}

SecondPlane second_plane(const Case& the_case) {
  refuse_kind(the_case);
  SecondPlane plane;
  TomlValue root = the_case.tree;
  keep_flat(the_case, root);
  keep_one_power(the_case, root);
  for (const char* key : {"bench", "spacing"}) {
    remove_entry(root, key);
  }
  put(root, "title", text_value(the_case.title + ", second plane (y is out of the first)"));
  const Mount* mount = mount_of(the_case.cooler); // refuse_kind leaves those that have one
  const Depths depths = depths_of(the_case, mount->depth, chip_depth(*mount));
  turn_housing(depths, root, plane.notes);
  turn_room(root);
  TomlValue& cooler = *entry(root, table_of(the_case.cooler));
  remove_entry(cooler, "centre_mm");
  std::visit(TurnedCooler{cooler, plane.notes}, the_case.cooler);
  plane.notes.push_back(fmt::format("The second plane takes the case to be {:.6g} mm deep inside "
                                    "and the board {:.6g} mm, the cooler in the middle of both "
                                    "(case.depth_mm, board.depth_mm).",
                                    1000.0 * depths.box, 1000.0 * depths.board));
  try {
    plane.the_case = case_from_tree(root, the_case.file + " (second plane)");
  } catch (const InputError& error) {
    throw InputError(fmt::format("{}; y of the second plane is out of the first: case.depth_mm and "
                                 "board.depth_mm say how far there is room",
                                 error.what()));
  }
  return plane;
}

} // namespace tiltfin
