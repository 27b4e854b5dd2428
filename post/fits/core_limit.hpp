#pragma once
// Where the power limit lies.

namespace tiltfin {

/// How hot the core may be, in which room, and what lies between the core and the base.
struct CoreLimit {
  double room_temperature_c = 25.0;
  double limit_temperature_c = 100.0;
  /// From die to base and by spreading in the base, together; as if 0 where the core is measured.
  double core_to_base_k_per_w = 0.0;

  [[nodiscard]] double rise_k() const { return limit_temperature_c - room_temperature_c; }
};

} // namespace tiltfin
