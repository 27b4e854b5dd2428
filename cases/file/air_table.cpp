#include "cases/file/air_table.hpp"

#include <algorithm>

namespace tiltfin {
namespace {

constexpr const char* gravity_key = "gravity_m_per_s2";

} // namespace

const KeyTable& air_keys() {
  static const std::string tabulated = "with the others: from tables at the film temperature";
  static const KeyTable keys{{.name = "density_kg_per_m3",
                              .bounds = above_zero(),
                              .without = tabulated,
                              .meaning = "constant"},
                             {.name = "heat_capacity_j_per_kgk",
                              .bounds = above_zero(),
                              .without = tabulated,
                              .meaning = "constant"},
                             {.name = "conductivity_w_per_mk",
                              .bounds = above_zero(),
                              .without = tabulated,
                              .meaning = "constant"},
                             {.name = "viscosity_pa_s",
                              .bounds = above_zero(),
                              .without = tabulated,
                              .meaning = "constant"},
                             {.name = "expansion_per_k",
                              .bounds = zero_or_more(),
                              .without = tabulated,
                              .meaning = "constant"},
                             {.name = "reference_temperature_c",
                              .bounds = celsius(),
                              .without = tabulated,
                              .meaning = "at which the density holds"},
                             {.name = gravity_key,
                              .bounds = zero_or_more(),
                              .fallback = standard_gravity,
                              .meaning = "strength of gravity"}};
  return keys;
}

AirTable read_air(const TomlTable& top) {
  const TomlTable table = table_at(top, "air");
  AirTable air;
  air.gravity = number(table, gravity_key);
  const bool has_constants = std::ranges::any_of(air_keys(), [&](const Key& key) {
    return key.name != gravity_key && find(table, key.name) != nullptr;
  });
  if (!has_constants) {
    note_default(table, "properties", "tables at the film temperature");
    return air;
  }
  AirProperties constants;
  constants.density = number(table, "density_kg_per_m3");
  constants.heat_capacity = number(table, "heat_capacity_j_per_kgk");
  constants.conductivity = number(table, "conductivity_w_per_mk");
  constants.viscosity = number(table, "viscosity_pa_s");
  constants.expansion = number(table, "expansion_per_k");
  constants.reference_temperature = temperature(table, "reference_temperature_c");
  air.constants = constants;
  return air;
}

} // namespace tiltfin
