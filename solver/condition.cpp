#include "solver/condition.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace tiltfin {

namespace {

std::string number_text(double value) {
  std::string text = std::to_string(value); // fixed, six decimals
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') {
    text.pop_back();
  }
  return text;
}

/// Sine of an angle in degrees, exact at multiples of 90.
double sine_deg(double angle_deg) {
  double turned = std::fmod(angle_deg, 360.0);
  if (turned < 0.0) {
    turned += 360.0;
  }
  if (turned == 0.0 || turned == 180.0) {
    return 0.0;
  }
  if (turned == 90.0) {
    return 1.0;
  }
  if (turned == 270.0) {
    return -1.0;
  }
  return std::sin(turned * std::numbers::pi / 180.0);
}

} // namespace

std::span<const Orientation> named_orientations() {
  static const std::array<Orientation, 6> named{{{"upright", {0.0, -1.0, 0.0}},
                                                 {"flat-up", {-1.0, 0.0, 0.0}},
                                                 {"flat-down", {1.0, 0.0, 0.0}},
                                                 {"upside-down", {0.0, 1.0, 0.0}},
                                                 {"quarter-left", {0.0, 0.0, -1.0}},
                                                 {"quarter-right", {0.0, 0.0, 1.0}}}};
  return named;
}

Orientation named_orientation(const std::string& name) {
  for (const Orientation& orientation : named_orientations()) {
    if (orientation.name == name) {
      return orientation;
    }
  }
  throw std::invalid_argument("'" + name + "' is no orientation");
}

Orientation tilted_orientation(double tilt_deg) {
  return {"tilt-" + number_text(tilt_deg), {-sine_deg(tilt_deg), -sine_deg(tilt_deg + 90.0), 0.0}};
}

bool is_in_section(const Orientation& orientation) {
  return std::abs(orientation.down[2]) < 1e-9;
}

bool can_answer(const Section& section, const Orientation& orientation) {
  const bool is_along_axis = std::abs(orientation.down[1]) < 1e-9;
  return is_in_section(orientation) && (!section.axis_distance || is_along_axis);
}

Condition in_part(const Condition& condition, const FanPart& part) {
  return {.gravity_x = condition.gravity_x,
          .gravity_y = condition.gravity_y * sine_deg(90.0 - part.angle_deg),
          .power = part.power};
}

} // namespace tiltfin
