#pragma once
// A base with parallel fins: the table [block].

#include "cases/geometry/fins.hpp"
#include "cases/geometry/mount.hpp"
#include "cases/input/toml_tree.hpp"

namespace tiltfin {

/// A base with fins that stand out along x. Across: they run out of the plane, one above the other
/// along y, and are drawn one by one (the section cuts them edge-on). Along: they run along y, one
/// behind the other out of the plane, and are a fin medium (the section shows their faces); then
/// the base's length is theirs and the mount's depth is the bundle's width.
struct Block {
  static constexpr const char* table = "block";
  Mount mount;
  int fins = 0;
  double fin_thickness = 0.0; ///< along y when across, out of the plane when along [m]
  double fin_height = 0.0;    ///< along x [m]
  bool along = false;
  double fin_gap = 0.0; ///< clear air between two fins; the section reads it only when along [m]
};

/// The keys of its table.
[[nodiscard]] const KeyTable& block_keys();

/// Throws InputError.
[[nodiscard]] Block read_block(const TomlTable& table, const Board& board);

/// Solids board, chip, base, fin-1 ... (from south to north; the first and last flush with the
/// base's ends) or the medium "fins".
/// Throws DoesNotFit "found ..., allowed ..." when the cooler does not fit.
[[nodiscard]] Section section_of(const Block& block, const Board& board, const Enclosure& enclosure,
                                 const Walls& walls);

/// What the section leaves out of it.
[[nodiscard]] std::vector<std::string> notes_of(const Block& block);

/// Whether the section shows faces of fins, as media.
[[nodiscard]] bool has_media(const Block& block);

[[nodiscard]] Metal metal_of(const Block& block);

/// Its fins as an array that can be laid out anew.
[[nodiscard]] FinArray fins_of(const Block& block);

/// Its table with fins laid out like this.
void set_fins(const Block& block, TomlValue& table, const FinArray& fins);

} // namespace tiltfin
