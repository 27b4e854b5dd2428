#pragma once
// Solves the matrix of conditions: chains of warm starts (cases/run/chains.hpp) run on threads;
// each solved condition is on disk (cases/run/results.hpp) before the next; then come the tables.
// Where stability is examined, that comes second, each steady state by itself: the first numbers
// are there before it begins, and an interruption of it loses nothing.

#include "cases/file/case.hpp"
#include "cases/run/options.hpp"
#include "cases/run/progress.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"

#include <functional>
#include <string>
#include <vector>

namespace tiltfin {

/// What a case comes to: its conditions, their trends, what tables say about it as a whole.
struct CaseResults {
  std::vector<Outcome> outcomes;
  std::vector<TrendRow> trends;
  ReportContext context;
  std::vector<std::string> undrawn{}; ///< sentences: conditions without a new picture, and why
  /// What was kept rather than solved, and what was not as it was written; lines for the terminal.
  std::vector<std::string> remarks{};
};

/// Solves the matrix and writes the tables of `directory`, and, when all is done, its pictures anew
/// at the scale of their power, and its sheets (cases/run/pictures.hpp); `first_numbers` is told of
/// them when all is solved and something is still to be examined. Outcomes come in a fixed order
/// (panel, orientation, power), whatever the number of threads; conditions that were not reached
/// are absent, finished ones that were kept are there, chosen or not: with `resume` all, with
/// `only` and without it those that are not chosen. After a kept condition the chain goes on from
/// the solution it left on disk, as an uninterrupted run does; where that is missing or not as it
/// was written it goes on from rest and agrees to the solver's tolerance as long as both find the
/// same flow. Throws InputError when gravity of an orientation is outside the section, when nothing
/// is chosen, when `start` is no condition or no chosen condition has its panel state, and when
/// `directory` holds results of another case; WriteError when it cannot write.
[[nodiscard]] CaseResults
run_case(const Case& the_case, const RunOptions& options,
         const std::function<void(const Progress&)>& progress,
         const std::function<void(const CaseResults&)>& first_numbers = {});

/// The results of a case whose conditions are solved already.
[[nodiscard]] CaseResults results_of(const Case& the_case, std::vector<Outcome> outcomes);

/// What the tables say about the case as a whole.
[[nodiscard]] ReportContext report_context(const Case& the_case);

} // namespace tiltfin
