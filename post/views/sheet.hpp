#pragma once
// All pictures of one power on one page, to be compared: gravity down in each, one scale of
// lengths, of colours and of streamlines for all, parts and flows named where they are.

#include "mesh/section.hpp"
#include "post/numbers/outcome.hpp"
#include "post/views/picture_scale.hpp"
#include "post/views/seen_flow.hpp"
#include "post/views/svg.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct SheetPicture {
  const Section* section = nullptr;
  const SeenFlow* flow = nullptr;
  const Outcome* outcome = nullptr;
  std::string limit; ///< a line of its heading, on how far it is from what is allowed
};

struct SheetText {
  std::string title;
  std::string subtitle;
};

/// Panel states follow one another down the page, the orientations of each to the right in the
/// order in which they first appear, wrapped when there are many; what is missing leaves its place
/// empty. `scale` holds all of them (picture_scale, common_scale).
[[nodiscard]] Drawing sheet(const SheetText& text, std::span<const SheetPicture> pictures,
                            const PictureScale& scale);

} // namespace tiltfin
