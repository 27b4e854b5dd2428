#pragma once
// Every way to describe what is cooled. A new cooler is a file of its own like stack, an entry of
// the variant here and one of the table in cooler.cpp.

#include "cases/geometry/block.hpp"
#include "cases/geometry/drawn.hpp"
#include "cases/geometry/ring.hpp"
#include "cases/geometry/stack.hpp"

#include <optional>
#include <span>
#include <string>
#include <variant>

namespace tiltfin {

using Cooler = std::variant<Stack, Block, Ring, Drawn>;

/// A table that describes a cooler on a board in a case.
struct CoolerKind {
  const char* table = nullptr;
  const KeyTable& (*keys)() = nullptr;
  Cooler (*read)(const TomlTable& table, const Board& board) = nullptr;
};
[[nodiscard]] std::span<const CoolerKind> cooler_kinds();

/// "[stack], [block] or [ring]".
[[nodiscard]] std::string cooler_tables_in_words();

/// The table that it was read from: "stack".
[[nodiscard]] std::string table_of(const Cooler& cooler);

/// Base, fins and plates as described; nothing for a drawn section.
[[nodiscard]] std::optional<Metal> metal_of(const Cooler& cooler);

} // namespace tiltfin
