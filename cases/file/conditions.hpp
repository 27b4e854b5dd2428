#pragma once
// The table [conditions]: which powers, orientations and panel states are solved.

#include "cases/geometry/geometry.hpp"
#include "cases/input/toml_reader.hpp"

#include <string>
#include <vector>

namespace tiltfin {

// All throw InputError.

/// Of powers_w, ascending [W].
[[nodiscard]] std::vector<double> read_powers(const TomlTable& table);

/// Of orientations; upright when it is not given.
[[nodiscard]] std::vector<Orientation> read_orientations(const TomlTable& table);

/// The orientation in `item`, which stands at `key`: a name, or a tilt in degrees.
[[nodiscard]] Orientation read_orientation(const TomlTable& table, const std::string& key,
                                           const TomlValue& item);

/// The panel states of `all` that panels asks for, in the order asked for; all when it is not
/// given.
[[nodiscard]] std::vector<PanelState> read_panels(const TomlTable& table,
                                                  const std::vector<PanelState>& all);

} // namespace tiltfin
