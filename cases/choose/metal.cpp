#include "cases/choose/metal.hpp"

#include "cases/choose/fin_array.hpp"
#include "cases/input/toml_text.hpp"

#include <numbers>

namespace tiltfin {
namespace {

/// A length of a case that has been checked [m].
double length_at(const TomlValue& table, const std::string& key) {
  return entry(table, key)->number / 1000.0;
}

double block_volume(const TomlValue& block, const FinArray& fins) {
  const bool along = fins.kind == FinKind::along;
  const double run = along ? fins.length : length_at(block, "depth_mm"); // of a fin
  const double base = length_at(block, "base_thickness_mm") * fins.outer * run;
  return base + fins.count * fins.thickness * fins.height * run;
}

double stack_volume(const TomlValue& stack, const FinArray& plates) {
  const double depth = length_at(stack, "depth_mm");
  const double base =
      length_at(stack, "base_thickness_mm") * length_at(stack, "base_length_mm") * depth;
  return base + plates.count * plates.thickness * plates.length * depth;
}

double ring_volume(const TomlValue& ring) {
  const double core = length_at(ring, "core_diameter_mm");
  const double height = length_at(ring, "fin_height_mm");
  const double disc = 0.25 * std::numbers::pi * core * core;
  const double fin = length_at(ring, "fin_thickness_mm") * height * 0.5 *
                     (length_at(ring, "outer_diameter_mm") - core);
  return disc * (length_at(ring, "base_thickness_mm") + height) + entry(ring, "fins")->number * fin;
}

} // namespace

std::optional<Metal> metal_of(const Case& the_case) {
  const TomlValue root = parse_toml(the_case.text, the_case.file);
  const TomlValue* cooler = nullptr;
  Metal metal;
  if (const TomlValue* block = entry(root, "block")) {
    cooler = block;
    metal.volume = block_volume(*block, fin_array(the_case));
  } else if (const TomlValue* stack = entry(root, "stack")) {
    cooler = stack;
    metal.volume = stack_volume(*stack, fin_array(the_case));
    metal.leaves_out = "columns";
  } else if (const TomlValue* ring = entry(root, "ring")) {
    cooler = ring;
    metal.volume = ring_volume(*ring);
  } else {
    return std::nullopt;
  }
  const TomlValue* density = entry(*cooler, "density_kg_per_m3");
  metal.density_is_default = density == nullptr;
  metal.density = density == nullptr ? aluminium_density : density->number;
  return metal;
}

} // namespace tiltfin
