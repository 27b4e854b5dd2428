#pragma once
// Rectangles in mm and their material, as drawn sections and the parts of a case are given. Lengths
// in m once read. What is wrong throws InputError.

#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"

namespace tiltfin {

struct Range {
  double low = 0.0;  ///< [m]
  double high = 0.0; ///< [m]
};

/// A range in mm, and conductivity_w_per_mk, as their tables declare them.
[[nodiscard]] Key range_key(const std::string& name, const std::string& meaning);
[[nodiscard]] Key conductivity_key();

/// Two rising numbers in mm within `outer`.
[[nodiscard]] Range read_range(const TomlTable& table, const std::string& key, const Range& outer);

/// The ranges `prefix`x_mm and `prefix`y_mm within `outer`.
[[nodiscard]] Rectangle read_rectangle(const TomlTable& table, const std::string& prefix,
                                       const Rectangle& outer);

/// conductivity_w_per_mk: one number, or one along x and one along y.
void read_conductivity(const TomlTable& table, Solid& solid);

/// True when the two share an area.
[[nodiscard]] bool is_overlapping(const Rectangle& a, const Rectangle& b);

} // namespace tiltfin
