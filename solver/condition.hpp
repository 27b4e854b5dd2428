#pragma once
// What varies between solves of one section: where gravity points, and the power.

#include "mesh/section.hpp"

#include <array>
#include <span>
#include <string>

namespace tiltfin {

inline constexpr double standard_gravity = 9.80665; ///< [m/s2], ISO 80000-3

using Vector3 = std::array<double, 3>;

/// How the machine stands: a name for people, gravity's direction for the equations.
struct Orientation {
  std::string name;             ///< e.g. "upright" or "tilt-30"
  Vector3 down{0.0, -1.0, 0.0}; ///< unit vector of gravity in the board frame
};

/// upright (-y), flat-up (cooler on top of the board, -x), flat-down (cooler hanging under the
/// board, +x), upside-down (+y), quarter-left (-z), quarter-right (+z).
[[nodiscard]] std::span<const Orientation> named_orientations();

/// One of them. Throws std::invalid_argument for another name.
[[nodiscard]] Orientation named_orientation(const std::string& name);

/// The board tilted about z: 0 upright, 90 flat with the cooler on top, 180 upside down,
/// -90 (or 270) hanging. `tilt_deg` in degrees; multiples of 90 are exact.
[[nodiscard]] Orientation tilted_orientation(double tilt_deg);

/// True when gravity lies in the plane of the section (|z component| below 1e-9).
[[nodiscard]] bool is_in_section(const Orientation& orientation);

/// True when the section can answer for an orientation: gravity lies in its plane and, where it
/// shows a body of revolution, along the axis (|y component| below 1e-9 as well).
[[nodiscard]] bool can_answer(const Section& section, const Orientation& orientation);

struct Condition {
  double gravity_x = 0.0; ///< in the board frame [m/s2]
  double gravity_y = 0.0; ///< [m/s2]
  double power = 0.0;     ///< of the whole device [W]
};

/// A section's place in a fan: the sections of one body, each turned about an axis along x and
/// standing for a stretch of the angle.
struct FanPart {
  double angle_deg = 0.0; ///< between the section and the vertical plane, 0 to 90
  double weight = 1.0;    ///< share of the body that it stands for; those of a fan add up to 1
  double power = 0.0;     ///< of the whole body, were all of it like this section [W]
};

/// What the section feels there: gravity along the axis whole, across it times the angle's cosine.
[[nodiscard]] Condition in_part(const Condition& condition, const FanPart& part);

} // namespace tiltfin
