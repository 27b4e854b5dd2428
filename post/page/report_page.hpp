#pragma once
// The report of a results directory as one HTML file that needs nothing beside it: its style,
// script, library of charts, pictures and numbers are in it, and it asks for nothing from anywhere.
// All that it says stands there with scripts switched off.

#include "post/page/page_results.hpp"

#include <string>

namespace tiltfin {

/// The same bytes for the same files: no time stamp. Throws std::runtime_error for a file that is
/// not what its name says.
[[nodiscard]] std::string report_page(PageFiles files);

} // namespace tiltfin
