#pragma once
// How a matrix of conditions is to be solved.

#include "cases/file/case.hpp"
#include "cases/run/accuracy.hpp"

#include <atomic>
#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// Finished results of a case that differs little: conditions of the same id start from them where
/// the meshes are the same.
struct Neighbour {
  const Case* the_case = nullptr;
  std::filesystem::path directory;
  std::vector<std::string> ids{}; ///< conditions that start from it; empty: all
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
  /// Keep finished conditions found in `directory`. Without it those that `only` does not choose
  /// are kept all the same: solving a few anew loses nothing of the others.
  bool resume = false;
  /// false: steady flows are reported whatever their stability, each row says so ("skipped"). With
  /// `resume` an examined row serves either way, another only this way. true: all are solved first,
  /// then examined.
  bool examine_stability = true;
  /// Add powers to every chosen chain until its power limit is bracketed, where the case does
  /// (cases/run/limit_search.hpp).
  bool adds_powers = false;
  AccuracyWish accuracy;    ///< of the base rise; kept conditions are not refined again
  bool keep_states = false; ///< write what every condition's picture is drawn from (state_file)
  const std::atomic<bool>* stop = nullptr;
};

} // namespace tiltfin
