#pragma once
// A study on a batch engine that is there already: the script that submits its shares to Slurm.

#include "cases/study/plan.hpp"

#include <string>

namespace tiltfin {

/// What is asked for.
struct SlurmRequest {
  std::string program;   ///< path of the program on the nodes
  std::string study;     ///< path of the study's file
  std::string directory; ///< of the results, seen by all nodes
  int n_shares = 4;
  int jobs = 1; ///< processors of each share
  StudyWork work{};
  bool keep_files = false;
};

/// A shell script: an array of shares, the same again where shares failed (those that are finished
/// end at once), and the merge when both have ended. Time and memory come from the forecast.
[[nodiscard]] std::string slurm_script(const Study& study, const StudyPlan& plan,
                                       const SlurmRequest& request);

} // namespace tiltfin
