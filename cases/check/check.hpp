#pragma once
// What a case comes to before it is solved: what was understood, mesh, governing numbers, expected
// cost, warnings.

#include "cases/file/case.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// What the run would say against the case: approximation out of range, gaps of too few cells,
/// gravity outside the section. One sentence each.
[[nodiscard]] std::vector<std::string> case_warnings(const Case& the_case);

/// Everything that `tiltfin check` prints, as text. `file` is named in the first line.
[[nodiscard]] std::string check_report(const Case& the_case, const std::string& file);

} // namespace tiltfin
