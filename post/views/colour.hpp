#pragma once
// The colour scale of temperature maps: from pale (cold) to dark (hot), so that order is seen
// without telling hues apart, and lines in black show on most of it.

#include <array>
#include <string>
#include <vector>

namespace tiltfin {

/// Red, green, blue in sRGB, 0 to 1.
using Colour = std::array<double, 3>;

/// `n` (2 or more) colours from cold to hot in equal steps of CIELAB distance (1976), lightness
/// falling all the way.
[[nodiscard]] std::vector<Colour> temperature_scale(int n);

/// "#rrggbb".
[[nodiscard]] std::string hex(const Colour& colour);

} // namespace tiltfin
