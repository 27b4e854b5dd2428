#include "cases/file/solved_text.hpp"

#include "cases/geometry/cooler.hpp"
#include "cases/input/toml_text.hpp"

namespace tiltfin {
namespace {

/// What lies out of the plane, of [case] or [board]: nothing that is solved depends on it.
void remove_depths(TomlValue& table) {
  remove_entry(table, "depth_mm");
  if (TomlValue* panels = entry(table, "panel")) {
    for (TomlValue& panel : panels->items) {
      remove_entry(panel, "ends");
    }
  }
}

} // namespace

std::string text_that_is_solved(TomlValue root, bool with_choice) {
  for (const char* key : {"title", "bench", "spacing"}) {
    remove_entry(root, key);
  }
  if (!with_choice) {
    remove_entry(root, "conditions");
  }
  if (TomlValue* limit = entry(root, "limit")) {
    remove_entry(*limit, "temperature_c");
    if (limit->items.empty()) {
      remove_entry(root, "limit");
    }
  }
  const bool needs_depths = entry(root, Ring::table) != nullptr; // lying flat it is round
  for (const char* key : {"case", "board"}) {
    if (TomlValue* table = needs_depths ? nullptr : entry(root, key)) {
      remove_depths(*table);
    }
  }
  for (const CoolerKind& kind : cooler_kinds()) {
    if (TomlValue* cooler = entry(root, kind.table)) {
      remove_entry(*cooler, "density_kg_per_m3");
    }
  }
  return toml_text(root);
}

} // namespace tiltfin
