#pragma once
// Angles that a machine is turned through: `tilts` in [conditions] and --tilts.

#include "cases/input/toml_reader.hpp"
#include "mesh/section.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// Angles of a sweep in degrees, ascending, within one turn: 0 upright, 90 flat with the cooler on
/// top, as a tilt among the orientations.
struct Tilts {
  std::vector<double> angles_deg; ///< empty: no sweep; of a whole turn without its end
  bool is_closed = false;         ///< the last asked for is the first again, a turn later
  std::string place;              ///< where they were asked for, the opening of messages
};

/// "0:15:360" (from, step, to) or "0, 30, 75". Throws InputError "place: found ..., allowed ...",
/// which for an orientation whose gravity is out of the section says what can answer for it.
[[nodiscard]] Tilts tilts_in(const std::string& text, const std::string& place);

/// Of tilts, such a text or a list of numbers; none when it is not given. Throws InputError.
[[nodiscard]] Tilts read_tilts(const TomlTable& conditions);

/// Refuses a sweep where a [[room.surface]] of the case `root` does not turn with the machine;
/// never where no angle is asked for.
void check_surfaces_turn(const TomlValue& root, const Tilts& tilts);

/// Refuses a sweep with an angle that `section` cannot answer for: of a body of revolution all but
/// 90 and 270.
void check_tilts_in_section(const Section& section, const Tilts& tilts);

} // namespace tiltfin
