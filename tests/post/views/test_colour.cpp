#include "post/views/chart.hpp"
#include "post/views/colour.hpp"
#include "tests/catch.hpp"
#include "tests/post/views/colour_vision.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin::tests {
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
    const double step = lab_distance(a, b);
    smallest = std::min(smallest, step);
    largest = std::max(largest, step);
  }
  // Steps that turn a corner of the scale cut it; a corner of 60 degrees costs 14 %.
  CHECK(smallest > 0.8 * largest);
  CHECK(lab_of(scale.front())[0] > 90.0); // near the page's white
  CHECK(lab_of(scale.back())[0] < 40.0);
}

TEST_CASE("Colour: the scale darkens all the way for every eye, and in print", "[colour]") {
  const std::vector<Colour> scale = temperature_scale(64); // as many as a colour bar has
  for (const Vision& vision : visions) {
    INFO(vision.name);
    for (std::size_t k = 1; k < scale.size(); ++k) {
      INFO(k);
      CHECK(seen_by(vision, scale[k])[0] < seen_by(vision, scale[k - 1])[0]);
    }
  }
  for (std::size_t k = 1; k < scale.size(); ++k) {
    CHECK(grey_lightness(scale[k]) < grey_lightness(scale[k - 1]));
  }
}

TEST_CASE("Colour: no two series look alike to any eye, nor in print", "[colour]") {
  // Patches side by side are told apart from about 2.3 (Mahy, Van Eycken and Oosterlinck 1994,
  // Color Research and Application 19, 105-121, from memory). Marks of a few px and lines of two,
  // looked up in a legend, need several times that: 15 was chosen; in print, where marker and
  // dashes help, 6 of lightness, so that seven fit between a dark grey and what still shows on
  // white.
  constexpr double apart = 15.0;
  constexpr double apart_in_print = 6.0;
  const auto colour = [](int number) {
    const std::string text = series_colour(number);
    Colour parts{};
    for (std::size_t k = 0; k < 3; ++k) {
      parts[k] = std::stoi(text.substr(1 + 2 * k, 2), nullptr, 16) / 255.0;
    }
    return parts;
  };
  for (int a = 0; a < n_series_colours; ++a) {
    for (int b = 0; b < a; ++b) {
      INFO(series_colour(a) << " and " << series_colour(b));
      for (const Vision& vision : visions) {
        INFO(vision.name);
        CHECK(lab_distance(seen_by(vision, colour(a)), seen_by(vision, colour(b))) >= apart);
      }
      CHECK(std::abs(grey_lightness(colour(a)) - grey_lightness(colour(b))) >= apart_in_print);
    }
  }
}

TEST_CASE("Colour: hexadecimal as in SVG", "[colour]") {
  CHECK(hex({0.0, 0.5, 1.0}) == "#0080ff");
}

} // namespace tiltfin::tests
