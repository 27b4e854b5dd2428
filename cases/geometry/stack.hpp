#pragma once
// Plates parallel to the board: the table [stack].

#include "cases/geometry/fins.hpp"
#include "cases/geometry/mount.hpp"
#include "cases/input/toml_tree.hpp"

namespace tiltfin {

/// Plates parallel to the board, joined to the base by columns.
struct Stack {
  static constexpr const char* table = "stack";
  Mount mount;
  int plates = 0;
  double plate_thickness = 0.0;         ///< along x [m]
  double plate_length = 0.0;            ///< along y [m]
  double plate_gap = 0.0;               ///< clear air between two plates [m]
  double first_gap = 0.0;               ///< clear air between the base and the first plate [m]
  double plate_conductance = 0.0;       ///< from the base to each plate, all columns [W/K]
  std::vector<double> column_positions; ///< centres above the plate's lower end [m]
  double column_width = 0.0;            ///< along y [m]
};

/// The keys of its table.
[[nodiscard]] const KeyTable& stack_keys();

/// Throws InputError.
[[nodiscard]] Stack read_stack(const TomlTable& table, const Board& board);

/// Solids board, chip, base, plate-1 ... (from the base out) and in a meshed room wall-west ...;
/// one link from the base to every plate and column. A column that stands beside the base ends at
/// the base's nearer end. Throws DoesNotFit "found ..., allowed ..." when the cooler
/// does not fit.
[[nodiscard]] Section section_of(const Stack& stack, const Board& board, const Enclosure& enclosure,
                                 const Walls& walls);

/// What the section leaves out of it.
[[nodiscard]] std::vector<std::string> notes_of(const Stack& stack);

/// Whether the section shows faces of fins, as media.
[[nodiscard]] bool has_media(const Stack& stack);

/// Base and plates.
[[nodiscard]] Metal metal_of(const Stack& stack);

/// Its plates as an array that can be laid out anew.
[[nodiscard]] FinArray fins_of(const Stack& stack);

/// Its table with plates laid out like this.
void set_fins(const Stack& stack, TomlValue& table, const FinArray& fins);

} // namespace tiltfin
