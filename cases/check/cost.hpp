#pragma once
// What solving a case costs, before it is solved.

#include "cases/file/case.hpp"

namespace tiltfin {

/// Expected cost of a run, from rules fitted to measured runs (see cost.cpp): times hold within a
/// factor of two where flows are steady or sway a little, and are exceeded tenfold where most are
/// not (solver/MEASURED.md): which that will be is not known before.
struct Cost {
  double memory_gib = 0.0;    ///< at the peak, all threads together [GiB]
  double first_seconds = 0.0; ///< wall time until all steady flows are there
  double seconds = 0.0;       ///< and until all are examined, means over time included, the powers
                              ///< near the limits are there and the machine was turned (`tilts`)
  int threads = 1;
};

/// Cost of solving every condition of a case with `jobs` threads (0: all cores).
[[nodiscard]] Cost expected_cost(const Case& the_case, int jobs);

/// Unknowns of one condition on a mesh of the section.
[[nodiscard]] int count_unknowns(const Case& the_case, const Section& section,
                                 const TensorMesh& mesh);

/// The same without the two of every radiant zone (some per cent), whose view factors take longer
/// than all else: for costs.
[[nodiscard]] int count_unknowns_of_flow(const Case& the_case, const Section& section,
                                         const TensorMesh& mesh);

} // namespace tiltfin
