#pragma once
// The legend beside a section's drawing.

#include "mesh/section.hpp"

#include <string>

namespace tiltfin {

struct SectionLegend {
  std::string svg;
  double bottom = 0.0; ///< [px]
  double right = 0.0;  ///< of its widest line [px]
};

/// Every kind of part that the section has, with the names of its parts; names that count up are
/// told as "plate-1 to plate-7". From `left` and `top` on [px].
[[nodiscard]] SectionLegend section_legend(const Section& section, double left, double top);

} // namespace tiltfin
