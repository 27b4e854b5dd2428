#pragma once
// Drawings in the room frame: gravity points down the page, the case is turned.

#include "post/outcome.hpp"
#include "solver/steady.hpp"

#include <filesystem>
#include <string>

namespace tiltfin {

/// The condition as SVG: temperature map, streamlines (contours of psi), solids outlined, scale
/// bar, gravity arrow, colour bar with units, a caption with the condition and base rise.
[[nodiscard]] std::string picture_svg(const Section& section, const Solution& solution,
                                      const Outcome& outcome);

/// The section alone, in the board frame: solids by role with their names, sides by kind, mesh
/// lines, dimensions. `mesh` may be null.
[[nodiscard]] std::string section_svg(const Section& section, const TensorMesh* mesh,
                                      const std::string& title);

/// Writes text through a temporary name and a rename; throws std::runtime_error with the path.
void write_text(const std::filesystem::path& path, const std::string& text);

} // namespace tiltfin
