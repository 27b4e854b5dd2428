#include "cases/input/rectangles.hpp"

#include <fmt/format.h>

namespace tiltfin {

Key range_key(const std::string& name, const std::string& meaning) {
  return {.name = name, .allowed = "two rising numbers", .meaning = meaning};
}

Key conductivity_key() {
  return {.name = "conductivity_w_per_mk",
          .bounds = conductivity(),
          .allowed = in_words(conductivity()) + ", or two: [along x, along y]",
          .meaning = "of the solid"};
}

Range read_range(const TomlTable& table, const std::string& key, const Range& outer) {
  const std::vector<double> ends = numbers(table, key, 2, 2);
  const Range range{ends[0] / 1000.0, ends[1] / 1000.0};
  if (range.low >= range.high || range.low < outer.low || range.high > outer.high) {
    refuse(table, key, fmt::format("[{}, {}]", show(ends[0]), show(ends[1])),
           fmt::format("two rising numbers within {} to {}", show(1000.0 * outer.low),
                       show(1000.0 * outer.high)));
  }
  return range;
}

Rectangle read_rectangle(const TomlTable& table, const std::string& prefix,
                         const Rectangle& outer) {
  const Range x = read_range(table, prefix + "x_mm", {outer.x0, outer.x1});
  const Range y = read_range(table, prefix + "y_mm", {outer.y0, outer.y1});
  return {x.low, x.high, y.low, y.high};
}

void read_conductivity(const TomlTable& table, Solid& solid) {
  const Key declared = conductivity_key();
  const std::string& key = declared.name;
  const TomlValue& value = needed(table, key, declared.allowed);
  if (value.kind == TomlValue::Kind::list) {
    const std::vector<double> both = numbers(table, key, 2, 2);
    solid.conductivity_x = both[0];
    solid.conductivity_y = both[1];
  } else {
    solid.conductivity_x = number(table, key);
    solid.conductivity_y = solid.conductivity_x;
  }
}

bool is_overlapping(const Rectangle& a, const Rectangle& b) {
  return a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1;
}

} // namespace tiltfin
