#pragma once
// What tests of reports share: outcomes of two orientations, and the case they belong to.

#include "post/reports/report.hpp"

#include <string>
#include <vector>

namespace tiltfin::tests {

inline Outcome outcome_of(const std::string& panel, const std::string& orientation, double power,
                          double rise) {
  Outcome outcome;
  outcome.panel = panel;
  outcome.orientation = orientation;
  outcome.power_w = power;
  outcome.status = SolveStatus::converged;
  outcome.base_rise_mean_k.value = rise;
  outcome.base_rise_max_k = rise + 0.5;
  outcome.core_rise_k = rise;
  outcome.resistance_k_per_w.value = rise / power;
  outcome.base_rise_mean_k.error = 0.01 * rise;
  outcome.cells = 1200;
  return outcome;
}

/// Straight lines through zero: 2 K/W upright, 4 K/W flat, so that limits are simple fractions.
inline std::vector<Outcome> two_orientations() {
  std::vector<Outcome> outcomes;
  for (const double power : {10.0, 20.0}) {
    outcomes.push_back(outcome_of("panel-on", "flat-up", power, 4.0 * power));
    outcomes.push_back(outcome_of("panel-on", "upright", power, 2.0 * power));
  }
  return outcomes;
}

/// Limit 60 K above the room.
inline ReportContext context_of() {
  ReportContext context;
  context.title = "A case of the tests";
  context.core.room_temperature_c = 25.0;
  context.core.limit_temperature_c = 85.0;
  return context;
}

} // namespace tiltfin::tests
