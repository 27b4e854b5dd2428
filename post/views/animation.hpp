#pragma once
// A flow in time as one drawing whose pictures follow each other; it moves wherever SVG with CSS
// does, without scripts, and stands still where less motion is wished for and on paper.

#include "mesh/section.hpp"
#include "post/numbers/outcome.hpp"
#include "post/views/seen_flow.hpp"
#include "post/views/svg.hpp"

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

struct AnimationFrame {
  const SeenFlow* flow = nullptr;
  std::string caption; ///< "after 2 min: base 4.1 K above the room"
};

/// The frames on one scale of colours and lines, gravity down. Half a second each, the last three
/// times as long; that one is what stands still.
[[nodiscard]] Drawing animation(const Section& section, const std::string& title,
                                std::span<const AnimationFrame> frames);

/// "0.8 s", "25 s", "4.2 min", "1.3 h".
[[nodiscard]] std::string time_words(double time_s);

} // namespace tiltfin
