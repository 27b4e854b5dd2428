#pragma once
// Several drawings as one.

#include "post/views/svg.hpp"

#include <string>
#include <vector>

namespace tiltfin {

struct LabelledDrawing {
  std::string label; ///< stands above it
  Drawing drawing;   ///< names in it (ids) that no other drawing of the row has
};

/// The drawings in a row on one page, each at its own size, under one title.
[[nodiscard]] Drawing side_by_side(const std::string& title,
                                   const std::vector<LabelledDrawing>& drawings);

} // namespace tiltfin
