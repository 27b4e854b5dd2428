#include "post/views/colour.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin::tests {
namespace {

/// L*, a*, b* of an sRGB colour. Source: IEC 61966-2-1 (sRGB to XYZ, D65), CIE 15 (XYZ to L*a*b*).
std::array<double, 3> lab_of(const Colour& colour) {
  std::array<double, 3> linear{};
  for (std::size_t k = 0; k < 3; ++k) {
    linear[k] =
        colour[k] <= 0.04045 ? colour[k] / 12.92 : std::pow((colour[k] + 0.055) / 1.055, 2.4);
  }
  const auto f = [](double t) {
    constexpr double delta = 6.0 / 29.0;
    return t > delta * delta * delta ? std::cbrt(t) : t / (3.0 * delta * delta) + 4.0 / 29.0;
  };
  const double x = (0.4124 * linear[0] + 0.3576 * linear[1] + 0.1805 * linear[2]) / 0.9505;
  const double y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2];
  const double z = (0.0193 * linear[0] + 0.1192 * linear[1] + 0.9505 * linear[2]) / 1.0890;
  return {116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))};
}

} // namespace

TEST_CASE("Colour: the scale darkens all the way, in equal steps for the eye", "[colour]") {
  constexpr int n = 101;
  const std::vector<Colour> scale = temperature_scale(n);
  REQUIRE(scale.size() == n);
  double smallest = 1e9;
  double largest = 0.0;
  for (std::size_t k = 1; k < scale.size(); ++k) {
    const auto a = lab_of(scale[k - 1]);
    const auto b = lab_of(scale[k]);
    CHECK(b[0] < a[0]);
    const double step = std::sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) +
                                  (a[2] - b[2]) * (a[2] - b[2]));
    smallest = std::min(smallest, step);
    largest = std::max(largest, step);
  }
  // Steps that turn a corner of the scale cut it; a corner of 60 degrees costs 14 %.
  CHECK(smallest > 0.8 * largest);
  CHECK(lab_of(scale.front())[0] > 90.0); // near the page's white
  CHECK(lab_of(scale.back())[0] < 40.0);
}

TEST_CASE("Colour: hexadecimal as in SVG", "[colour]") {
  CHECK(hex({0.0, 0.5, 1.0}) == "#0080ff");
}

} // namespace tiltfin::tests
