#pragma once
// report.html of a results directory, from what is in it.

#include "cases/run/remarks.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// Reads what a report shows from `directory` and, where that lacks a file, from those of `also`
/// (levers, gaps or a comparison that were written elsewhere); writes report.html into `directory`
/// and returns its path. Throws InputError when there are no results to report and for a file that
/// is not what its name says or not as it was written; with `left_out` the latter are left out and
/// named there. Throws WriteError when it cannot write.
std::filesystem::path write_report(const std::filesystem::path& directory,
                                   const std::vector<std::string>& also = {},
                                   Remarks* left_out = nullptr);

} // namespace tiltfin
