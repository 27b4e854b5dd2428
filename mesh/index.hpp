#pragma once
// Indices and counts are int throughout; containers want std::size_t.

#include <cstddef>

namespace tiltfin {

/// A place in a container; `k` is not negative.
[[nodiscard]] constexpr std::size_t index(int k) {
  return static_cast<std::size_t>(k);
}

} // namespace tiltfin
