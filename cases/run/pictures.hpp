#pragma once
// The pictures of a case's conditions, drawn from the fields on disk, so that all of one power have
// one scale: pictures/<id>.svg, and sheets/<power>w.svg with all of them on one page.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/trend_row.hpp"

#include <filesystem>
#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// That an outcome was solved on; null: the case has no such panel state or orientation.
[[nodiscard]] const Section* solved_section(const Case& the_case, const Outcome& outcome);

/// Draws every solved condition of `outcomes` whose fields are in the directory. Says, a sentence
/// each, which are not drawn because their fields are missing or damaged; their old pictures stay.
/// Throws WriteError when it cannot write.
[[nodiscard]] std::vector<std::string> draw_pictures(const std::filesystem::path& directory,
                                                     const Case& the_case,
                                                     std::span<const Outcome> outcomes,
                                                     std::span<const TrendRow> trends);

} // namespace tiltfin
