#pragma once
// Several coolers, each in its own case file or directory of finished results, in the same
// conditions: who takes most power. A study's variants are such coolers, too (cases/study).

#include "cases/run/run.hpp"
#include "post/reports/rank_report.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// A cooler in its case, with its results once they are known.
struct Competitor {
  std::string name;
  Case the_case;
  bool is_finished = false; ///< its results were there before
  CaseResults results;
};

struct RankOptions {
  std::vector<std::string> cases;     ///< case files, and directories that a solve has written
  std::vector<Competitor> finished{}; ///< more coolers, ranked beside those of `cases`
  /// A folder per case file is made in it; what is finished there is not solved again.
  std::filesystem::path directory;
  std::vector<std::string> weights; ///< "upright=2", see orientation_weights
  int jobs = 0;
  bool skip_stability = false;     ///< of case files; directories are taken as they are
  bool listed_powers_only = false; ///< add none near the limits, to case files
  const std::atomic<bool>* stop = nullptr;
};

/// Reads, compares, solves what is missing of case files, ranks and writes rank.csv, rank.json and
/// rank.svg; `tell` gets a line per finished condition. Nothing when the caller asked to stop.
/// Throws InputError before anything is solved: fewer than two coolers, two of one name, results
/// with conditions missing, and cases whose [room], [limit], [air] or [conditions] differ (the key
/// is named) in more than powers. Differences of powers, [case], [board] and [mesh] are noted.
[[nodiscard]] std::optional<RankReport>
rank_coolers(const RankOptions& options, const std::function<void(const std::string&)>& tell);

/// Which conditions of several cases are to be solved: ids by case.
using ChooseConditions =
    std::function<std::vector<std::vector<std::string>>(std::span<const Case>)>;

/// The part of it that `choose` takes of the conditions of the case files, into the same places,
/// and no tables: a share of the work. False when the caller asked to stop; throws as
/// `rank_coolers`.
[[nodiscard]] bool solve_part_for_rank(const RankOptions& options, const ChooseConditions& choose,
                                       const std::function<void(const std::string&)>& tell);

} // namespace tiltfin
