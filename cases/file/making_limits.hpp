#pragma once
// What can be made: the table [spacing].

#include "cases/input/toml_reader.hpp"

#include <optional>

namespace tiltfin {

// The program's defaults: common practice for extruded aluminium and bent sheet, no source.
inline constexpr double usual_min_gap_mm = 2.0;
inline constexpr double usual_min_thickness_mm = 0.8;

/// Not given: the program's defaults.
struct MakingLimits {
  std::optional<double> min_gap_mm;
  std::optional<double> min_thickness_mm;
};

[[nodiscard]] const KeyTable& spacing_keys();

/// Throws InputError.
[[nodiscard]] MakingLimits read_spacing(const TomlTable& top);

} // namespace tiltfin
