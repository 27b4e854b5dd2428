#pragma once
// The matrix of conditions as chains, and what is chosen of it: panel state -> section;
// orientation -> gravity; powers ascending, each to start from the one before.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"
#include "solver/steady.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

/// One condition of the matrix.
struct ChainCondition {
  std::string id;
  double power = 0.0;               ///< [W]
  bool chosen = false;              ///< to be solved, unless it has an outcome
  std::optional<Outcome> outcome;   ///< once it is solved, or kept from an earlier run
  std::optional<Solution> steady{}; ///< to be examined, where it is not on disk
  double steady_rise_k = nan;       ///< of the steady flow, once it is being examined
  bool is_added = false;            ///< near the limit, to the powers that the case lists
};

/// Conditions of one panel state and orientation, powers ascending. Points into its Case.
struct Chain {
  const PanelState* panel = nullptr;
  const Orientation* orientation = nullptr;
  const Section* section = nullptr;
  std::vector<ChainCondition> conditions;
};

/// In the order of the results: panel, orientation, power. Chosen are the conditions whose id
/// contains one of `only` (with `only_is_whole`, is one of them); all when it is empty. Throws
/// InputError when two conditions have the same id and when none is chosen.
[[nodiscard]] std::vector<Chain>
make_chains(const Case& the_case, const std::vector<std::string>& only, bool only_is_whole);

/// Whether one of the conditions is chosen by a text in its id.
[[nodiscard]] bool chooses_conditions(const Case& the_case, const std::vector<std::string>& only);

/// Throws InputError when a chosen condition's gravity is outside its section.
void check_orientations(const Case& the_case, const std::vector<Chain>& chains);

[[nodiscard]] bool any_chosen(const Chain& chain);

/// Conditions that are chosen and have no outcome yet.
[[nodiscard]] int n_unsolved(const std::vector<Chain>& chains);

/// Steady, chosen, and still to be examined.
[[nodiscard]] bool awaits_examination(const ChainCondition& condition);

/// Gravity and power of a condition.
[[nodiscard]] Condition condition_of(const Case& the_case, const Chain& chain, double power_w);

} // namespace tiltfin
