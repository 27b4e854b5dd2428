#pragma once
// The drawing of a section before anything is solved.

#include "mesh/section.hpp"
#include "mesh/tensor_mesh.hpp"

#include <string>

namespace tiltfin {

/// The section alone, in the board frame: solids by role with their names, sides by kind, mesh
/// lines, dimensions. `mesh` may be null.
[[nodiscard]] std::string section_svg(const Section& section, const TensorMesh* mesh,
                                      const std::string& title);

} // namespace tiltfin
