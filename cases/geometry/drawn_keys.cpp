#include "cases/geometry/drawn_keys.hpp"

#include "cases/geometry/finishes.hpp"
#include "cases/geometry/grilles.hpp"
#include "cases/input/rectangles.hpp"
#include "mesh/section.hpp"

namespace tiltfin {
namespace {

/// A share of a condition's power.
Key heat_share_key() {
  return {.name = "heat_share",
          .bounds = between(0.0, 1.0),
          .fallback = 0.0,
          .meaning = "of a condition's power released in it; all add up to 1"};
}

const KeyTable& solid_keys() {
  static const KeyTable keys = joined({{.name = "name", .allowed = "a text", .meaning = "its own"},
                                       range_key("x_mm", "in the section"),
                                       range_key("y_mm", "in the section"),
                                       conductivity_key(),
                                       heat_share_key(),
                                       {.name = "role",
                                        .options = {role_names.begin(), role_names.end()},
                                        .fallback = name(Role::other),
                                        .meaning = "what reports take it for"}},
                                      finish_keys());
  return keys;
}

Key between_key() {
  return {
      .name = "between", .allowed = "the names of two solids", .meaning = "which solids it joins"};
}

const KeyTable& contact_keys() {
  static const KeyTable keys{between_key(),
                             {.name = "resistance_m2k_per_w",
                              .bounds = contact_resistance(),
                              .meaning = "on every face that both share"}};
  return keys;
}

Key patch_key(const std::string& name) {
  Key key = range_key(name, "part of the solid that takes part");
  key.without = "the whole solid";
  return key;
}

const KeyTable& link_keys() {
  static const KeyTable keys{
      {.name = "name", .allowed = "a text", .meaning = "for reports"},
      between_key(),
      {.name = "conductance_w_per_k", .bounds = conductance(), .meaning = "of the whole device"},
      patch_key("patch_a_x_mm"),
      patch_key("patch_a_y_mm"),
      patch_key("patch_b_x_mm"),
      patch_key("patch_b_y_mm")};
  return keys;
}

const KeyTable& medium_keys() {
  static const KeyTable keys =
      joined({{.name = "name", .allowed = "a text", .meaning = "for reports"},
              range_key("x_mm", "in the section"),
              range_key("y_mm", "in the section"),
              {.name = "gap_mm", .bounds = gap_length(), .meaning = "between two fins"},
              {.name = "fin_thickness_mm", .bounds = length_above_zero(), .meaning = "of each"},
              {.name = "conductivity_w_per_mk", .bounds = conductivity(), .meaning = "of the fins"},
              heat_share_key()},
             finish_keys());
  return keys;
}

const KeyTable& grille_keys() {
  static const KeyTable keys = joined(
      joined(
          {{.name = "name", .allowed = "a text", .meaning = "for reports"},
           {.name = "from_mm", .bounds = length_of_zero_or_more(), .meaning = "[x, y] of an end"},
           {.name = "to_mm",
            .bounds = length_of_zero_or_more(),
            .meaning = "[x, y] of the other end"}},
          grille_loss_keys()),
      {{.name = "thickness_mm",
        .bounds = length_above_zero(),
        .fallback = 1.0,
        .meaning = "of the sheet"}});
  return keys;
}

const KeyTable& side_keys() {
  static const KeyTable keys =
      joined({{.name = "kind",
               .options = {"isothermal", "insulated", "film", "open", "symmetry"},
               .fallback = "insulated",
               .meaning = "what the side is"},
              {.name = "temperature_c",
               .bounds = celsius(),
               .without = "given where kind = \"isothermal\"",
               .meaning = "of an isothermal side"},
              {.name = "film_w_per_m2k",
               .bounds = film(),
               .without = "given where kind = \"film\"",
               .meaning = "from a film side to the outside"},
              {.name = "outside_c",
               .bounds = celsius(),
               .without = "given where kind = \"film\" or \"open\"",
               .meaning = "outside a film side; of the air that enters an open one"}},
             finish_keys());
  return keys;
}

const KeyTable& sides_keys() {
  static const KeyTable keys = [] {
    KeyTable sides;
    for (const char* side : side_names) {
      sides.push_back({.name = side, .table = &side_keys(), .meaning = "a side of the section"});
    }
    return sides;
  }();
  return keys;
}

Key machine_key(const std::string& name) {
  Key key = range_key(name, "outline of the machine in a drawn room");
  key.without = "no room is drawn";
  return key;
}

const KeyTable& section_keys() {
  static const KeyTable keys{
      {.name = "width_mm", .bounds = length_above_zero(), .meaning = "along x"},
      {.name = "height_mm", .bounds = length_above_zero(), .meaning = "along y"},
      {.name = "depth_mm",
       .bounds = length_above_zero(),
       .fallback = 1000.0,
       .meaning = "out of the plane"},
      {.name = "axis_distance_mm",
       .bounds = length_of_zero_or_more(),
       .without = "a plane section",
       .meaning = "of y = 0 from the axis, along x, of a body of revolution"},
      {.name = "base",
       .allowed = "the name of a solid",
       .without = "the first solid that releases heat",
       .meaning = "the solid that is reported"},
      machine_key("machine_x_mm"),
      machine_key("machine_y_mm")};
  return keys;
}

} // namespace

const KeyTable& drawn_tables() {
  static const KeyTable tables{
      {.name = "section", .table = &section_keys(), .meaning = "a section drawn by hand"},
      {.name = "sides", .table = &sides_keys(), .meaning = "its four sides"},
      {.name = "solid", .table = &solid_keys(), .is_list = true, .meaning = "a rectangle"},
      {.name = "contact",
       .table = &contact_keys(),
       .is_list = true,
       .meaning = "resistance where two solids touch"},
      {.name = "link",
       .table = &link_keys(),
       .is_list = true,
       .meaning = "conductance between two solids that leaves the air free"},
      {.name = "medium",
       .table = &medium_keys(),
       .is_list = true,
       .meaning = "fins seen from their faces"},
      {.name = "grille",
       .table = &grille_keys(),
       .is_list = true,
       .meaning = "a perforated sheet"}};
  return tables;
}

} // namespace tiltfin
