#pragma once
// What colours look like to eyes of different kinds, and in print.

#include "post/views/colour.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin::tests {

/// L*, a*, b* of linear red, green and blue. Source: IEC 61966-2-1 (sRGB to XYZ, D65), CIE 15 (XYZ
/// to L*a*b*).
inline std::array<double, 3> lab_of_linear(const std::array<double, 3>& linear) {
  const auto f = [](double t) {
    constexpr double delta = 6.0 / 29.0;
    return t > delta * delta * delta ? std::cbrt(t) : t / (3.0 * delta * delta) + 4.0 / 29.0;
  };
  const double x = (0.4124 * linear[0] + 0.3576 * linear[1] + 0.1805 * linear[2]) / 0.9505;
  const double y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  const double z = (0.0193 * linear[0] + 0.1192 * linear[1] + 0.9505 * linear[2]) / 1.0890;
  return {116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))};
}

/// Source: IEC 61966-2-1.
inline std::array<double, 3> linear_of(const Colour& colour) {
  std::array<double, 3> linear{};
  for (std::size_t k = 0; k < 3; ++k) {
    linear[k] =
        colour[k] <= 0.04045 ? colour[k] / 12.92 : std::pow((colour[k] + 0.055) / 1.055, 2.4);
  }
  return linear;
}

inline std::array<double, 3> lab_of(const Colour& colour) {
  return lab_of_linear(linear_of(colour));
}

inline double lab_distance(const std::array<double, 3>& a, const std::array<double, 3>& b) {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/// A kind of colour vision: what it makes of linear red, green and blue.
struct Vision {
  const char* name;
  std::array<std::array<double, 3>, 3> matrix;
};

/// Source: Machado, Oliveira and Fernandes 2009, IEEE Transactions on Visualization and Computer
/// Graphics 15(6), 1291-1298, severity 1, from memory.
inline constexpr std::array<Vision, 4> visions{
    {{"all cones", {{{1.0, 0.0, 0.0}, {0.0, 1.0, 0.0}, {0.0, 0.0, 1.0}}}},
     {"protanopia",
      {{{0.152286, 1.052583, -0.204868},
        {0.114503, 0.786281, 0.099216},
        {-0.003882, -0.048116, 1.051998}}}},
     {"deuteranopia",
      {{{0.367322, 0.860646, -0.227968},
        {0.280085, 0.672501, 0.047413},
        {-0.011820, 0.042940, 0.968881}}}},
     {"tritanopia",
      {{{1.255528, -0.076749, -0.178779},
        {-0.078411, 0.930809, 0.147602},
        {0.004733, 0.691367, 0.303900}}}}}};

/// L*, a*, b*.
inline std::array<double, 3> seen_by(const Vision& vision, const Colour& colour) {
  const std::array<double, 3> linear = linear_of(colour);
  std::array<double, 3> seen{};
  for (std::size_t k = 0; k < 3; ++k) {
    const std::array<double, 3>& row = vision.matrix[k];
    seen[k] = std::clamp(row[0] * linear[0] + row[1] * linear[1] + row[2] * linear[2], 0.0, 1.0);
  }
  return lab_of_linear(seen);
}

/// L* of the grey that a colour is printed as.
inline double grey_lightness(const Colour& colour) {
  return lab_of(colour)[0];
}

} // namespace tiltfin::tests
