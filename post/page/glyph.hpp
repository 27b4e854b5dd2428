#pragma once
// A sketch of how a machine stands.

#include <string>

namespace tiltfin {

/// Board and fins turned as an orientation has them, over an arrow of gravity; "" for an
/// orientation whose angle is not known by its name. An SVG element that tells screen readers
/// nothing: its name stands beside it.
[[nodiscard]] std::string orientation_glyph(const std::string& orientation);

} // namespace tiltfin
