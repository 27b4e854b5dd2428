#pragma once
// From solved changes of a case to the report of what would help.

#include "cases/choose/lever_changes.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/lever_report.hpp"

#include <vector>

namespace tiltfin {

/// Changes are solved at `own`, the case as it is at `lower`, too, for its trend [W].
struct LeverPowers {
  double own = 0.0;
  double lower = 0.0;
};

/// What is known of the case as it is.
struct AsItIs {
  std::vector<Outcome> known;  ///< from results that a solve has left
  std::vector<Outcome> solved; ///< what they lack, or have as no steady row on the case's own mesh
};

struct SolvedChange {
  const LeverChange* change = nullptr;
  std::vector<Outcome> outcomes;
};

/// Ranked, of the panel states and orientations that are `chosen`.
[[nodiscard]] LeverReport lever_report(const Case& the_case, const LeverPowers& powers,
                                       const std::vector<Placing>& chosen, const AsItIs& as_it_is,
                                       const std::vector<SolvedChange>& changes,
                                       const std::vector<AbsentLever>& absent);

} // namespace tiltfin
