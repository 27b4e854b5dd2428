#pragma once
// Layouts of a cooler's fins that are solved side by side: which are asked for, their results on
// disk, each condition once.

#include "cases/choose/fin_array.hpp"
#include "cases/run/run.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace tiltfin {

/// One layout with what is known of it, by condition id.
struct LaidOut {
  FinArray array;
  Case the_case;
  std::map<std::string, Outcome> outcomes;
};

/// By layout_name.
using Layouts = std::map<std::string, LaidOut>;

struct LayoutRun {
  std::filesystem::path directory; ///< a folder per layout is made in it
  bool examine_stability = false;
  /// Where the same layouts were solved before, to start from; empty: neighbours in `directory`.
  std::filesystem::path start_directory;
  int jobs = 0;
  const std::atomic<bool>* stop = nullptr;
  std::function<void(const std::string&)> tell; ///< a line per condition
};

/// Ids of the conditions to solve, by layout.
using Wanted = std::map<std::string, std::vector<std::string>>;

/// Solves what is wanted and neither known nor finished on disk, layouts on threads. Without a
/// directory to start from, fins along the section's plane start from the nearest layout solved
/// before this call, for their mesh is the same; the others from rest. The results do not depend on
/// the number of threads. False when the caller asked to stop.
bool solve_layouts(Layouts& layouts, const Wanted& wanted, const LayoutRun& run);

} // namespace tiltfin
