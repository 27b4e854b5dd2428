#pragma once
// What would help a case: single changes of it, each solved steady at one power, ranked by what
// they are worth in watts of power limit in every panel state and orientation.
//
// The output directory holds levers.csv, .json and .svg, and under solved/<power>w/ a directory as
// a solve that skips stability would write it: as-it-is, and one per change. A condition that is
// finished there is never solved again.

#include "cases/file/case.hpp"
#include "post/reports/lever_report.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct LeverOptions {
  std::filesystem::path directory;
  std::string from;              ///< finished results of the case; empty: none
  std::vector<std::string> only; ///< panel states and orientations with a condition whose id
                                 ///< contains one of these; empty: all
  std::optional<double> power_w; ///< default: the largest of the case
  int jobs = 0;                  ///< threads, 0: all cores
  const std::atomic<bool>* stop = nullptr;
};

/// Solves what is missing and writes; `tell` gets a line per finished condition. The case as it is
/// comes from `from` where that has a steady row on the case's own mesh; else it is solved, at the
/// power and at a lower one for the trend. Results do not depend on the number of threads. Nothing
/// when the caller asked to stop: what is finished is kept, and the same call goes on from there.
/// Throws InputError before anything is solved when `from` holds no results of this case, when
/// nothing is chosen, when gravity of an orientation is outside the section, without a base, and
/// without a power above 0.
[[nodiscard]] std::optional<LeverReport>
find_levers(const Case& the_case, const LeverOptions& options,
            const std::function<void(const std::string&)>& tell);

} // namespace tiltfin
