#include "cases/file/limit.hpp"

#include "mesh/section.hpp"

#include <fmt/format.h>

namespace tiltfin {

const KeyTable& limit_keys() {
  static const KeyTable keys{{.name = "temperature_c",
                              .bounds = celsius(),
                              .fallback = 100.0,
                              .meaning = "up to which the chip's core may go"},
                             {.name = "die_to_base_k_per_w",
                              .bounds = resistance(),
                              .fallback = 0.0,
                              .meaning = "from the core to the base"},
                             {.name = "spreading_k_per_w",
                              .bounds = resistance(),
                              .fallback = 0.0,
                              .meaning =
                                  "from under the chip to the mean of the base, in place of what "
                                  "chip_depth_mm gives (heat pipes in the base)"}};
  return keys;
}

Limit read_limit(const TomlTable& top, double room_temperature, double spreading) {
  const TomlTable table = table_at(top, "limit");
  Limit limit;
  limit.temperature = temperature(table, "temperature_c");
  if (limit.temperature <= room_temperature) {
    refuse(table, "temperature_c", show(limit.temperature - zero_celsius),
           fmt::format("more than room.temperature_c = {}", show(room_temperature - zero_celsius)));
  }
  limit.die_to_base = number(table, "die_to_base_k_per_w");
  limit.spreading = spreading;
  if (spreading == 0.0 || find(table, "spreading_k_per_w") != nullptr) {
    limit.spreading = number(table, "spreading_k_per_w");
  }
  return limit;
}

} // namespace tiltfin
