#pragma once
// Solves the matrix of conditions: chains of warm starts (cases/chains.hpp) run on threads; each
// finished condition is on disk (cases/results.hpp) before the next.

#include "cases/accuracy.hpp"
#include "cases/case.hpp"
#include "cases/progress.hpp"
#include "post/outcome.hpp"
#include "post/report.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

namespace tiltfin {

/// Finished results of a case that differs little: conditions of the same id start from them where
/// the meshes are the same.
struct Neighbour {
  const Case* the_case = nullptr;
  std::filesystem::path directory;
};

struct RunOptions {
  std::filesystem::path directory;     ///< output; empty: nothing is written
  int jobs = 0;                        ///< threads, 0: all cores
  std::vector<std::string> only;       ///< conditions whose id contains one of these; empty: all
  bool only_is_whole = false;          ///< ... whose id is one of these
  std::vector<Neighbour> neighbours{}; ///< where chains start from, nearest first
  /// Another start that every condition is solved from as well, to look for a second flow: empty
  /// (none), "mirrored" (the own solution, mirrored), "search" (that, then stirred air, until
  /// another flow is found), or the id of a condition of the same panel state.
  std::string start;
  bool resume = false; ///< keep finished conditions found in `directory`
  /// false: steady flows are reported whatever their stability, each row says so ("skipped"). With
  /// `resume` an examined row serves either way, a skipped one only this way.
  bool examine_stability = true;
  AccuracyWish accuracy;    ///< of the base rise; kept conditions are not refined again
  bool keep_states = false; ///< write what every condition's picture is drawn from (state_file)
  const std::atomic<bool>* stop = nullptr;
};

/// Solves the matrix. Outcomes come in a fixed order (panel, orientation, power), whatever the
/// number of threads; conditions that were not reached are absent, finished ones that were kept are
/// there, chosen or not. After a kept condition the chain goes on from the solution it left on
/// disk, as an uninterrupted run does; where that is missing it goes on from rest and agrees to the
/// solver's tolerance as long as both find the same flow.
/// Throws InputError when gravity of an orientation is outside the section, when nothing is chosen,
/// when `start` is no condition or no chosen condition has its panel state, and when `directory`
/// holds results of another case; std::runtime_error when it cannot write.
[[nodiscard]] std::vector<Outcome> run_case(const Case& the_case, const RunOptions& options,
                                            const std::function<void(const Progress&)>& progress);

/// Threads that `jobs` (0: all cores) comes to: never more than there are chains.
[[nodiscard]] int threads_for(int jobs, int n_chains);

/// What the tables say about the case as a whole.
[[nodiscard]] ReportContext report_context(const Case& the_case);

} // namespace tiltfin
