#pragma once
// The table [conditions]: which powers, orientations and panel states are solved.

#include "cases/input/toml_reader.hpp"
#include "solver/condition.hpp"

#include <string>
#include <vector>

namespace tiltfin {

[[nodiscard]] const KeyTable& conditions_keys();

// All throw InputError.

/// Of powers_w, ascending [W].
[[nodiscard]] std::vector<double> read_powers(const TomlTable& table);

/// Whether powers are added near the limits: added_powers.
[[nodiscard]] bool read_adds_powers(const TomlTable& table);

/// Of orientations; upright when it is not given.
[[nodiscard]] std::vector<Orientation> read_orientations(const TomlTable& table);

/// The orientation in `item`, which stands at `key`: a name, or a tilt in degrees.
[[nodiscard]] Orientation read_orientation(const TomlTable& table, const std::string& key,
                                           const TomlValue& item);

/// What an orientation may be, in words.
[[nodiscard]] std::string orientation_words();

/// Those of `all` panel states that panels asks for, in the order asked for; all when it is not
/// given.
[[nodiscard]] std::vector<std::string> read_panels(const TomlTable& table,
                                                   const std::vector<std::string>& all);

/// Why a section cannot answer for an orientation whose gravity is outside it, and which section
/// can.
[[nodiscard]] std::string out_of_section(const Orientation& orientation);

/// The same of a section that may show a body of revolution (see can_answer).
[[nodiscard]] std::string out_of_section(const Section& section, const Orientation& orientation);

/// Refuses an orientation that `section` cannot answer for; `place` is where it stands, the opening
/// of the message.
void check_in_section(const Section& section, const Orientation& orientation,
                      const std::string& place);

} // namespace tiltfin
