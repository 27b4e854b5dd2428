#pragma once
// From the accuracy that is wished for to the mesh that has it.

#include "solver/steady.hpp"

#include <string>

namespace tiltfin {

struct AccuracyWish {
  double relative = 0.0; ///< largest estimated error of the mean base rise over that rise; 0: none
  int max_cells = 60000; ///< no finer mesh than this is solved
};

/// "1%" or "0.5 %" as a fraction. Throws std::invalid_argument "found ..., allowed ..." unless it
/// is a number above 0 and at most 100, with or without the sign.
[[nodiscard]] double parse_percent(const std::string& text);

struct Refinement {
  Solution solution;   ///< on the finest mesh that was solved
  std::string verdict; ///< empty when the wish is met; else why not and what it would cost
};

/// Solves `condition` on finer meshes, each starting from the one before, until the estimated error
/// of the mean base rise, that of a mean over time included, is within the wish. Where a solution
/// has no coarse partner to estimate by, the one before becomes it. The last solution stays when a
/// finer mesh finds nothing and when the mean itself is too uncertain.
/// What a finer mesh would cost is said with the measured laws: error as cells^-0.75 (order 1.5),
/// time as cells^1.2.
[[nodiscard]] Refinement refine_to(const AccuracyWish& wish, const Section& section,
                                   const Condition& condition, const AirRule& air,
                                   const NestedOptions& options, Solution first);

} // namespace tiltfin
