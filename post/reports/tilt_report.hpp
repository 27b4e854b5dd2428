#pragma once
// The files and the readable part of a machine turned through all angles.

#include "post/reports/tilt_solved.hpp"

#include <string>

namespace tiltfin {

/// A row per flow: one where both ways lead to the same, two where they do not.
[[nodiscard]] std::string tilts_csv(const TiltReport& report);

/// The readable part: best and worst, where two flows coexist, where the rise jumps and why.
[[nodiscard]] std::string tilt_table(const TiltReport& report);

/// Power limit and rise against the angle, round the machine, as an SVG file.
[[nodiscard]] std::string tilt_chart(const TiltReport& report, const std::string& panel);

} // namespace tiltfin
