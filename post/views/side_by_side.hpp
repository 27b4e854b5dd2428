#pragma once
// Several drawings of this program as one.

#include <string>
#include <vector>

namespace tiltfin {

struct LabelledDrawing {
  std::string label; ///< stands above it
  std::string svg;   ///< a whole file, as written by this program
};

/// The drawings in a row on one page, each at its own size, under one title. Their names (of clip
/// paths, patterns and gradients) are made different, so that they do not meet.
[[nodiscard]] std::string side_by_side(const std::string& title,
                                       const std::vector<LabelledDrawing>& drawings);

} // namespace tiltfin
