#pragma once
// What a case comes to before it is solved: what was understood, mesh, governing numbers, expected
// cost, warnings.

#include "cases/case.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// Expected cost of a run, from rules fitted to measured runs (see check.cpp).
struct Cost {
  double memory_gib = 0.0; ///< at the peak, all threads together [GiB]
  double seconds = 0.0;    ///< wall time of the whole matrix
  int threads = 1;
};

/// Cost of solving every condition of a case with `jobs` threads (0: all cores).
[[nodiscard]] Cost expected_cost(const Case& the_case, int jobs);

/// What the run would say against the case: approximation out of range, gaps of too few cells,
/// gravity outside the section. One sentence each.
[[nodiscard]] std::vector<std::string> case_warnings(const Case& the_case);

/// Everything that `tiltfin check` prints, as text. `file` is named in the first line.
[[nodiscard]] std::string check_report(const Case& the_case, const std::string& file);

} // namespace tiltfin
