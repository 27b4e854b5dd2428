#pragma once
// The table [mesh]: sizes of cells, and of the zones that radiation is exchanged between.

#include "cases/input/toml_reader.hpp"
#include "mesh/tensor_mesh.hpp"

namespace tiltfin {

[[nodiscard]] const KeyTable& mesh_keys();

// All throw InputError.

/// `has_media`: some fins are seen from their faces.
[[nodiscard]] Resolution read_resolution(const TomlTable& table, bool has_media);

/// See Section [m].
[[nodiscard]] double read_radiant_zone(const TomlTable& table);

} // namespace tiltfin
