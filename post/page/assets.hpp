#pragma once
// Files that are part of the program: made into a source by post/page/embed.cmake when it is built.

#include <string>

namespace tiltfin {

/// post/page/report.css and post/page/report.js.
[[nodiscard]] const std::string& page_style();
[[nodiscard]] const std::string& page_script();

/// The library that draws interactive charts, with the banner of its licence.
[[nodiscard]] const std::string& chart_library();

/// Of the program.
[[nodiscard]] const std::string& program_version();

} // namespace tiltfin
