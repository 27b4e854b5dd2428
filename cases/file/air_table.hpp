#pragma once
// The table [air]: gravity, and properties that are constant.

#include "cases/input/toml_reader.hpp"
#include "solver/air.hpp"
#include "solver/condition.hpp"

#include <optional>

namespace tiltfin {

struct AirTable {
  std::optional<AirProperties> constants; ///< else tables at the film temperature
  double gravity = standard_gravity;      ///< [m/s2]
};

[[nodiscard]] const KeyTable& air_keys();

/// Throws InputError.
[[nodiscard]] AirTable read_air(const TomlTable& top);

} // namespace tiltfin
