#pragma once
// What a reader should know about solved conditions before believing their numbers, as text below
// the tables.

#include "post/numbers/outcome.hpp"

#include <span>
#include <string>

namespace tiltfin {

/// The largest heat and mass errors among all conditions, in one line.
[[nodiscard]] std::string worst_balances(std::span<const Outcome> outcomes);

/// What the search for other flows found; empty when none was asked for.
[[nodiscard]] std::string second_flows(std::span<const Outcome> outcomes);

/// Which conditions lie beyond the accepted range of the Boussinesq approximation, and what that
/// does to their numbers, in one paragraph; empty when none does.
[[nodiscard]] std::string expansion_remark(std::span<const Outcome> outcomes);

/// Each kind of warning but that of the expansion number once: the condition and numbers that it
/// came with at the largest power, and how many more conditions have it. Empty without warnings.
[[nodiscard]] std::string warning_list(std::span<const Outcome> outcomes);

} // namespace tiltfin
