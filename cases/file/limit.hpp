#pragma once
// The table [limit]: up to which temperature the chip may go, and what lies between it and the
// base.

#include "cases/input/toml_reader.hpp"

namespace tiltfin {

struct Limit {
  double temperature = 373.15; ///< of the core [K]
  double die_to_base = 0.0;    ///< [K/W]
  double spreading = 0.0;      ///< from under the chip to the mean of the base [K/W]
};

[[nodiscard]] const KeyTable& limit_keys();

/// `spreading` follows from the cooler's tables [K/W]; the table may give another. Throws
/// InputError.
[[nodiscard]] Limit read_limit(const TomlTable& top, double room_temperature, double spreading);

} // namespace tiltfin
