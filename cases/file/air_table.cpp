#include "cases/file/air_table.hpp"

#include <algorithm>

namespace tiltfin {
namespace {

constexpr const char* gravity_key = "gravity_m_per_s2";

} // namespace

const KeyTable& air_keys() {
  static const std::string tabulated = "with the others: from tables at the film temperature";
  static const KeyTable keys{
      {.name = "density_kg_per_m3",
       .bounds = between(1e-3, 1e4), // air at a thousandth of the pressure; liquid metal
       .without = tabulated,
       .meaning = "constant"},
      {.name = "heat_capacity_j_per_kgk",
       .bounds = between(10.0, 1e5), // hydrogen has 14e3, metals 130
       .without = tabulated,
       .meaning = "constant"},
      {.name = "conductivity_w_per_mk",
       .bounds = between(1e-9, 1e3), // air that does not conduct; liquid metal 100
       .without = tabulated,
       .meaning = "constant"},
      {.name = "viscosity_pa_s",
       .bounds = between(1e-7, 1e3), // gases 1e-5, water 1e-3, honey 10
       .without = tabulated,
       .meaning = "constant"},
      {.name = "expansion_per_k",
       .bounds = between(0.0, 1.0), // 1/T of a gas at 1 K
       .without = tabulated,
       .meaning = "constant"},
      {.name = "reference_temperature_c",
       .bounds = celsius(),
       .without = tabulated,
       .meaning = "at which the density holds"},
      {.name = gravity_key,
       .bounds = between(0.0, 1e5), // a fast centrifuge; the sun has 274

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
