#pragma once

#include <stdexcept>

namespace tiltfin {

/// A section, or sizes of cells, that cannot be meshed: a plain sentence says why.
struct MeshError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

} // namespace tiltfin
