#pragma once
// A chart or picture of the page with its caption and the table behind it. Without scripts the
// drawing stands there; scripts put an interactive chart in its place and add the buttons that save
// both.

#include "post/page/html.hpp"

#include <optional>
#include <string>

namespace tiltfin {

struct PageFigure {
  std::string name; ///< that it is saved as: letters, digits and '-'
  std::string caption;
  std::string svg;             ///< a whole SVG file or element
  bool is_inline = false;      ///< made for the page (bars_svg): stands in it as it is, else it is
                               ///< an image, so that names in it cannot clash
  std::optional<Json> chart{}; ///< what the interactive one shows; see post/page/report.js
  std::optional<PageTable> table{};
};

[[nodiscard]] std::string figure_html(const PageFigure& figure);

} // namespace tiltfin
