#pragma once
// What was solved, from its directory alone: outcomes and pictures without solving anything.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// Every finished condition of the directory that belongs to the case, powers that were added near
/// the limits too, in the order of the results (panel, orientation, power). What is damaged or of
/// another case is passed over.
[[nodiscard]] std::vector<Outcome> outcomes_on_disk(const std::filesystem::path& directory,
                                                    const Case& the_case);

/// Draws pictures and sheets of the directory anew (cases/run/pictures.hpp), which holds results of
/// this case. Says, a sentence each, which conditions cannot be drawn. Throws WriteError.
[[nodiscard]] std::vector<std::string> redraw_pictures(const std::filesystem::path& directory,
                                                       const Case& the_case);

} // namespace tiltfin
