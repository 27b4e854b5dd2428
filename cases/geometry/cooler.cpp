#include "cases/geometry/cooler.hpp"

#include <fmt/format.h>

#include <array>

namespace tiltfin {
namespace {

template <auto Read>
Cooler read_as_cooler(const TomlTable& table, const Board& board) {
  return Read(table, board);
}

} // namespace

std::span<const CoolerKind> cooler_kinds() {
  static constexpr std::array<CoolerKind, 3> kinds{{
      {Stack::table, stack_keys, read_as_cooler<read_stack>},
      {Block::table, block_keys, read_as_cooler<read_block>},
      {Ring::table, ring_keys, read_as_cooler<read_ring>},
  }};
  return kinds;
}

std::string cooler_tables_in_words() {
  const std::span<const CoolerKind> kinds = cooler_kinds();
  std::string words;
  for (std::size_t k = 0; k < kinds.size(); ++k) {
    words += k == 0 ? "" : (k + 1 < kinds.size() ? ", " : " or ");
    words += fmt::format("[{}]", kinds[k].table);
  }
  return words;
}

std::string table_of(const Cooler& cooler) {
  return std::visit([](const auto& one) { return std::string(one.table); }, cooler);
}

std::optional<Metal> metal_of(const Cooler& cooler) {
  return std::visit([](const auto& one) -> std::optional<Metal> { return metal_of(one); }, cooler);
}

} // namespace tiltfin
