#include "cases/file/solved_text.hpp"

#include "cases/geometry/cooler.hpp"
#include "cases/input/toml_text.hpp"

namespace tiltfin {

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
  for (const CoolerKind& kind : cooler_kinds()) {
    if (TomlValue* cooler = entry(root, kind.table)) {
      remove_entry(*cooler, "density_kg_per_m3");
    }
  }
  return toml_text(root);
}

} // namespace tiltfin
