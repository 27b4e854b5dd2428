#pragma once
// What stands written in a picture of a sheet: the names of parts with their temperatures, what the
// gaps and the cooler draw in, what the sides of the section are. No label covers another.

#include "mesh/section.hpp"
#include "post/numbers/outcome.hpp"
#include "post/views/label_placer.hpp"
#include "post/views/page.hpp"
#include "post/views/seen_flow.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct SheetLabels {
  std::string svg;
  std::vector<PageBox> boxes;        ///< of what is written [px]
  std::vector<std::string> left_out; ///< for which there was no room
};

/// Of the picture that shows `seen` in `view`.
[[nodiscard]] SheetLabels sheet_labels(const Section& section, const SeenFlow& flow,
                                       const Outcome& outcome, const Rectangle& seen,
                                       const PageView& view);

} // namespace tiltfin
