// The tables [stack], [block], [ring] and [board].

#include "cases/geometry/coolers.hpp"
#include "cases/geometry/finishes.hpp"
#include "cases/geometry/geometry.hpp"
#include "cases/geometry/housing.hpp"
#include "post/numbers/spreading.hpp"

#include <fmt/format.h>

#include <stdexcept>

namespace tiltfin {
namespace {

using Keys = std::vector<std::string>;

const Keys& board_keys() {
  static const Keys keys{"thickness_mm",
                         "height_mm",
                         "behind_mm",
                         "bottom_mm",
                         "conductivity_through_w_per_mk",
                         "conductivity_in_plane_w_per_mk",
                         "finish",
                         "emissivity"};
  return keys;
}

/// Keys of every cooler, followed by `own`.
Keys cooler_keys(const Keys& own) {
  Keys keys{"chip_thickness_mm",
            "chip_length_mm",
            "chip_conductivity_w_per_mk",
            "chip_to_base_m2k_per_w",
            "chip_to_board_m2k_per_w",
            "base_thickness_mm",
            "centre_mm",
            "conductivity_w_per_mk",
            "density_kg_per_m3",
            "finish",
            "emissivity"};
  keys.insert(keys.end(), own.begin(), own.end());
  return keys;
}

Board read_board(const TomlTable& table, const Enclosure& enclosure) {
  Board board;
  board.thickness = length(table, "thickness_mm", above_zero());
  board.height = length(table, "height_mm", above_zero());
  board.behind = length_or(table, "behind_mm", zero_or_more(), 5.0);
  const double middle_mm = 500.0 * (enclosure.height - board.height);
  if (middle_mm < 0.0) {
    refuse(table, "height_mm", show(1000.0 * board.height),
           fmt::format("at most case.height_mm = {}", 1000.0 * enclosure.height));
  }
  board.bottom = length_or(table, "bottom_mm", zero_or_more(), middle_mm);
  board.conductivity_through =
      number_or(table, "conductivity_through_w_per_mk", above_zero(), 0.35);
  board.conductivity_in_plane =
      number_or(table, "conductivity_in_plane_w_per_mk", above_zero(), 20.0);
  board.emissivity = read_emissivity(table);
  return board;
}

/// Everything of the mount but the length of its base and the depth, of which a block may derive
/// one from its fins.
Mount read_mount(const TomlTable& table, const Board& board) {
  Mount mount;
  mount.chip.thickness = length(table, "chip_thickness_mm", above_zero());
  mount.chip.length = length(table, "chip_length_mm", above_zero());
  mount.chip.conductivity = number_or(table, "chip_conductivity_w_per_mk", above_zero(), 120.0);
  mount.chip.to_base = number_or(table, "chip_to_base_m2k_per_w", zero_or_more(), 0.0);
  mount.chip.to_board = number_or(table, "chip_to_board_m2k_per_w", zero_or_more(), 0.0);
  mount.base_thickness = length(table, "base_thickness_mm", above_zero());
  mount.centre = length_or(table, "centre_mm", zero_or_more(), 500.0 * board.height);
  mount.conductivity = number_or(table, "conductivity_w_per_mk", above_zero(), 200.0);
  if (find(table, "density_kg_per_m3") != nullptr) { // taken up by metal_of
    static_cast<void>(number(table, "density_kg_per_m3", above_zero()));
  }
  return mount;
}

Stack read_stack(const TomlTable& table, const Board& board) {
  Stack stack;
  stack.mount = read_mount(table, board);
  stack.mount.base_length = length(table, "base_length_mm", above_zero());
  stack.mount.depth = length(table, "depth_mm", above_zero());
  stack.plates = whole_number(table, "plates", 1, 100);
  stack.plate_thickness = length(table, "plate_thickness_mm", above_zero());
  stack.plate_length = length(table, "plate_length_mm", above_zero());
  stack.plate_gap = length(table, "plate_gap_mm", above_zero());
  stack.first_gap = length_or(table, "first_gap_mm", above_zero(), 1000.0 * stack.plate_gap);
  stack.plate_conductance = number(table, "conductance_w_per_k", above_zero());
  for (const double position : numbers(table, "column_positions_mm", zero_or_more(), 1, 20)) {
    stack.column_positions.push_back(position / 1000.0);
  }
  stack.column_width = length(table, "column_width_mm", above_zero());
  return stack;
}

/// The length over which the fins follow one another, from `key` or from fin_gap_mm.
double read_fin_pitch(const TomlTable& table, const std::string& key, const Block& block) {
  const bool has_gap = find(table, "fin_gap_mm") != nullptr;
  const bool has_length = find(table, key) != nullptr;
  if (has_gap == has_length) {
    refuse(table, "fin_gap_mm", has_gap ? "both fin_gap_mm and " + key : "neither",
           "either fin_gap_mm or " + key);
  }
  const double metal = block.fins * block.fin_thickness;
  if (has_gap) {
    return metal + (block.fins - 1) * length(table, "fin_gap_mm", above_zero());
  }
  const double extent = length(table, key, above_zero());
  if (metal >= extent) {
    refuse(table, key, show(1000.0 * extent),
           fmt::format("more than the fins' thicknesses together, {:.6g}", 1000.0 * metal));
  }
  return extent;
}

/// The depth of the chip, with which heat spreads in the base.
void read_chip_depth(const TomlTable& table, Block& block) {
  if (find(table, "chip_depth_mm") == nullptr) {
    note_default(table, "chip_depth_mm", "the whole depth of the section");
    return;
  }
  block.mount.chip_depth = length(table, "chip_depth_mm", above_zero());
  const auto refuse_size = [&](const std::string& key, double size, double allowed) {
    if (size > allowed) {
      refuse(table, key, show(1000.0 * size),
             fmt::format("at most the base's {} mm for heat to spread", show(1000.0 * allowed)));
    }
  };
  refuse_size("chip_depth_mm", block.mount.chip_depth, block.mount.depth);
  refuse_size("chip_length_mm", block.mount.chip.length, block.mount.base_length);
}

double spreading_of(const Mount& mount) {
  if (mount.chip_depth == 0.0) {
    return 0.0;
  }
  return spreading_resistance({mount.base_length, mount.depth, mount.base_thickness,
                               mount.conductivity, mount.chip.length, mount.chip_depth});
}

Block read_block(const TomlTable& table, const Board& board) {
  Block block;
  block.mount = read_mount(table, board);
  const Keys directions{"across", "along"};
  block.along = choice_or(table, "fins_run", directions, "across") == "along";
  block.fins = whole_number(table, "fins", block.along ? 2 : 1, 200);
  block.fin_thickness = length(table, "fin_thickness_mm", above_zero());
  block.fin_height = length(table, "fin_height_mm", above_zero());
  if (block.along) {
    block.mount.base_length = length(table, "base_length_mm", above_zero());
    block.mount.depth = read_fin_pitch(table, "depth_mm", block);
    block.fin_gap = (block.mount.depth - block.fins * block.fin_thickness) / (block.fins - 1);
  } else {
    block.mount.depth = length(table, "depth_mm", above_zero());
    block.mount.base_length = read_fin_pitch(table, "base_length_mm", block);
  }
  read_chip_depth(table, block);
  return block;
}

Ring read_ring(const TomlTable& table, const Board& board) {
  Ring ring;
  ring.mount = read_mount(table, board);
  ring.mount.base_length = length(table, "core_diameter_mm", above_zero());
  ring.outer_diameter = length(table, "outer_diameter_mm", above_zero());
  if (ring.outer_diameter <= ring.mount.base_length) {
    refuse(table, "outer_diameter_mm", show(1000.0 * ring.outer_diameter),
           fmt::format("more than core_diameter_mm = {}", show(1000.0 * ring.mount.base_length)));
  }
  ring.fins = whole_number(table, "fins", 4, 400);
  ring.fin_thickness = length(table, "fin_thickness_mm", above_zero());
  ring.fin_height = length(table, "fin_height_mm", above_zero());
  ring.mount.depth = ring_depth(ring);
  return ring;
}

std::vector<std::string> common_notes(const Mount& mount, const Room& room) {
  std::vector<std::string> notes{
      fmt::format("The section is one plane of the machine; everything in it is taken to reach "
                  "{:.6g} mm out of the plane unchanged, the chip included.",
                  1000.0 * mount.depth),
      "Air that enters the gaps from the two ends out of the plane is left out, and so are the "
      "case's two walls there (both pessimistic)."};
  if (room.margin > 0.0) {
    notes.emplace_back(
        "The air of the room is calmed outside the case so that its plume is steady; "
        "inside the case's outline it is air as it is.");
  }
  return notes;
}

std::vector<std::string> stack_notes(const Stack& stack, const Room& room) {
  std::vector<std::string> notes = common_notes(stack.mount, room);
  notes.emplace_back(
      "The columns carry heat from the base to each plate but do not block the air (optimistic).");
  return notes;
}

std::vector<std::string> block_notes(const Block& block, const Room& room) {
  std::vector<std::string> notes = common_notes(block.mount, room);
  if (block.along) {
    notes.push_back(fmt::format(
        "The fins run along y, so the section shows their faces (it answers for every gravity in "
        "its plane): {} fins with gaps of {:.4g} mm are a medium of metal and air. Flow across the "
        "edges of the bundle out of the plane is left out, and so are its outer two faces and what "
        "they radiate (both pessimistic).",
        block.fins, 1000.0 * block.fin_gap));
  } else {
    notes.emplace_back(
        "The fins run out of the plane, so the section cuts them edge-on, each drawn by itself; "
        "flow along them is not computed (pessimistic).");
  }
  return notes;
}

std::vector<std::string> ring_notes(const Ring& ring, const Room& room) {
  std::vector<std::string> notes = common_notes(ring.mount, room);
  notes.push_back(fmt::format(
      "The fins stand radially round an axis along x, so the section through the axis shows "
      "their faces (it answers for every gravity in its plane). It is plane where the ring is "
      "round: the depth of {:.4g} mm is half the mean circumference of the fins, {} of which "
      "stand for the half above the axis and {} for that below. Upright, the fins beside the "
      "axis, across whose faces the air would rise, are taken like those above and below.",
      1000.0 * ring.mount.depth, ring.fins / 2, ring.fins - ring.fins / 2));
  return notes;
}

/// Every panel state with every finish; `make_section` takes the case, the open walls and the
/// emissivity.
template <typename MakeSection>
Geometry make_geometry(const TomlTable& cooler, const Housing& housing,
                       const MakeSection& make_section) {
  Geometry geometry;
  const auto section_of = [&](const Enclosure& enclosure, const Panel& panel, double emissivity) {
    try {
      Section section = make_section(enclosure, panel.walls, emissivity);
      add_parts(housing.parts, enclosure, section);
      return section;
    } catch (const std::invalid_argument& error) {
      throw InputError(
          fmt::format("{}:{}: key '{}': {}", cooler.file, cooler.line, cooler.path, error.what()));
    }
  };
  for (const Finish& finish : read_finishes(cooler)) {
    for (const Panel& panel : housing.panels) {
      const std::string name = finish.name.empty() ? panel.name : panel.name + "-" + finish.name;
      PanelState state{name, {}, finish.name, {}};
      for (const Enclosure& enclosure : housing.enclosures) {
        state.standing.push_back(section_of(enclosure, panel, finish.emissivity));
      }
      state.section = state.standing.front();
      if (state.standing.size() == 1) {
        state.standing.clear();
      }
      geometry.panels.push_back(std::move(state));
    }
  }
  return geometry;
}

/// What a cooler stands in.
struct Around {
  const Board& board;
  const Housing& housing;
  const Room& room;
};

/// The sections of a cooler and what they leave out.
template <typename Cooler, typename MakeSection, typename MakeNotes>
Geometry geometry_of(const TomlTable& table, Cooler cooler, const Around& around,
                     const MakeSection& make_section, const MakeNotes& make_notes) {
  Geometry geometry =
      make_geometry(table, around.housing,
                    [&](const Enclosure& enclosure, const Walls& walls, double emissivity) {
                      cooler.mount.emissivity = emissivity;
                      return make_section(cooler, around.board, enclosure, walls);
                    });
  geometry.notes = make_notes(cooler, around.room);
  for (std::string& note : part_notes(around.housing.parts, cooler.mount.depth)) {
    geometry.notes.push_back(std::move(note));
  }
  return geometry;
}

} // namespace

Geometry read_cooler(const TomlTable& top, const TomlTable& room_table, const Room& room,
                     const std::vector<Orientation>& orientations) {
  const Housing housing = read_housing(top, room_table, room, orientations);
  const Board board =
      read_board(needed_table(top, "board", board_keys()), housing.enclosures.front());
  const Around around{board, housing, room};
  if (find(top, "stack") != nullptr) {
    const Keys keys =
        cooler_keys({"base_length_mm", "depth_mm", "plates", "plate_thickness_mm", "plate_gap_mm",
                     "plate_length_mm", "first_gap_mm", "conductance_w_per_k",
                     "column_positions_mm", "column_width_mm"});
    const TomlTable table = table_at(top, "stack", keys);
    return geometry_of(table, read_stack(table, board), around, stack_section, stack_notes);
  }
  if (find(top, "ring") != nullptr) {
    const Keys keys = cooler_keys(
        {"core_diameter_mm", "outer_diameter_mm", "fins", "fin_thickness_mm", "fin_height_mm"});
    const TomlTable table = table_at(top, "ring", keys);
    return geometry_of(table, read_ring(table, board), around, ring_section, ring_notes);
  }
  const Keys keys =
      cooler_keys({"base_length_mm", "depth_mm", "fins", "fins_run", "fin_thickness_mm",
                   "fin_height_mm", "fin_gap_mm", "chip_depth_mm"});
  const TomlTable table = table_at(top, "block", keys);
  const Block block = read_block(table, board);
  Geometry geometry = geometry_of(table, block, around, block_section, block_notes);
  geometry.spreading = spreading_of(block.mount);
  return geometry;
}

} // namespace tiltfin
