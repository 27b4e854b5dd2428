#pragma once
// What was solved, from its directory alone: outcomes and pictures without solving anything.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

struct OutcomesOnDisk {
  std::vector<Outcome> outcomes;
  std::vector<std::string> refused; ///< files that are not as they were written: which, why
};

/// Every finished condition of the directory that belongs to the case, powers that were added near
/// the limits too, in the order of the results (panel, orientation, power).
[[nodiscard]] OutcomesOnDisk outcomes_on_disk(const std::filesystem::path& directory,
                                              const Case& the_case);

/// Draws pictures and sheets of the directory anew (cases/run/pictures.hpp), which holds results of
/// this case. Says, a sentence each, which conditions cannot be drawn and which files were passed
/// over. Throws WriteError.
[[nodiscard]] std::vector<std::string> redraw_pictures(const std::filesystem::path& directory,
                                                       const Case& the_case);

} // namespace tiltfin
