#include "mesh/axis.hpp"
#include "mesh/mesh_error.hpp"
#include "tests/catch.hpp"
#include "tests/mesh/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double growth = 1.2;

struct Input {
  std::vector<Break> breaks;
  std::vector<double> caps;
};

/// Thin sheets, wide air, a fine wall and a line that asks for nothing, of lengths without a common
/// measure.
Input uneven() {
  return {{{0.0, 0.01}, {0.13, 0.01}, {0.145, 0.01}, {0.31, 1.0}, {0.7, 0.004}, {1.0, 0.02}},
          {0.05, 0.0075, 0.06, 0.08, 0.04}};
}

Input balanced(Input input) {
  balance_sizes(input.breaks, input.caps, growth);
  return input;
}

Axis axis_of(const Input& input, int level = 0) {
  return make_axis(input.breaks, input.caps, growth, level);
}

} // namespace

TEST_CASE("Axis: widths are positive and add up to the length", "[axis]") {
  for (const int level : {0, 1, 2}) {
    const Axis axis = axis_of(balanced(uneven()), level);
    double sum = 0.0;
    for (int i = 0; i < axis.n(); ++i) {
      CHECK(axis.width(i) > 0.0);
      sum += axis.width(i);
    }
    CHECK_THAT(sum, WithinAbs(1.0, rounding));
    CHECK_THAT(axis.length(), WithinAbs(1.0, rounding));
  }
}

TEST_CASE("Axis: every break is a face, bit by bit, at every level", "[axis]") {
  const Input input = balanced(uneven());
  for (const int level : {0, 1, 2}) {
    const Axis axis = axis_of(input, level);
    for (const Break& line : input.breaks) {
      CHECK(std::binary_search(axis.faces.begin(), axis.faces.end(), line.position));
    }
  }
}

TEST_CASE("Axis: neighbouring widths keep to the growth ratio, across breaks as well", "[axis]") {
  // The ratio is exact for a map that counts whole cells; the map's slope is found to rounding.
  for (const double ratio : {1.05, 1.2, 1.5}) {
    Input input = uneven();
    balance_sizes(input.breaks, input.caps, ratio);
    const Axis axis = make_axis(input.breaks, input.caps, ratio, 0);
    CHECK(largest_ratio(axis) <= ratio * (1.0 + 1e-9));
    CHECK(largest_ratio(axis) > 1.0 + 0.5 * (ratio - 1.0)); // and the growth is made use of
  }
}

TEST_CASE("Axis: cells keep to the caps and to the sizes at the breaks", "[axis]") {
  // Counts may exceed a whole number by 1e-9 before another cell is added, so may the widths.
  const double slack = 1.0 + 1e-8;
  const Input input = balanced(uneven());
  const Axis axis = axis_of(input);
  for (std::size_t k = 0; k < input.caps.size(); ++k) {
    const Break& a = input.breaks[k];
    const Break& b = input.breaks[k + 1];
    for (int i = 0; i < axis.n(); ++i) {
      if (axis.centre(i) > a.position && axis.centre(i) < b.position) {
        CHECK(axis.width(i) <= input.caps[k] * slack);
      }
    }
    CHECK(axis.width(cell_at(axis, a.position)) <= a.size * slack);
    CHECK(axis.width(cell_at(axis, b.position) - (k + 2 == input.breaks.size() ? 0 : 1)) <=
          b.size * slack);
  }
}

TEST_CASE("Axis: a level has half the cells of the one before, segment by segment", "[axis]") {
  const Input input = balanced(uneven());
  const Axis fine = axis_of(input, 0);
  const Axis half = axis_of(input, 1);
  const Axis quarter = axis_of(input, 2);
  for (std::size_t k = 0; k + 1 < input.breaks.size(); ++k) {
    const double low = input.breaks[k].position;
    const double high = input.breaks[k + 1].position;
    const int n = cells_between(fine, low, high);
    CHECK(n >= 2);
    CHECK(n % 2 == 0);
    CHECK(cells_between(half, low, high) == n / 2);
    CHECK(cells_between(quarter, low, high) == (n + 3) / 4);
  }
}

TEST_CASE("Axis: the faces of level 1 are every second face of level 0, bit by bit", "[axis]") {
  const Input input = balanced(uneven());
  const Axis fine = axis_of(input, 0);
  const Axis half = axis_of(input, 1);
  REQUIRE(fine.n() == 2 * half.n());
  for (int i = 0; i <= half.n(); ++i) {
    CHECK(half.at(i) == fine.at(2 * i));
  }
}

TEST_CASE("Axis: mirrored breaks give mirrored faces", "[axis]") {
  const Input input = uneven();
  Input image;
  for (auto line = input.breaks.rbegin(); line != input.breaks.rend(); ++line) {
    image.breaks.push_back({1.0 - line->position, line->size});
  }
  image.caps.assign(input.caps.rbegin(), input.caps.rend());
  for (const int level : {0, 1, 2}) {
    const Axis axis = axis_of(balanced(input), level);
    const Axis mirrored = axis_of(balanced(image), level);
    REQUIRE(axis.n() == mirrored.n());
    for (int i = 0; i <= axis.n(); ++i) {
      CHECK_THAT(mirrored.at(i), WithinAbs(1.0 - axis.at(axis.n() - i), rounding));
    }
  }
}

TEST_CASE("Axis: without growth the cells are even", "[axis]") {
  const std::vector<Break> breaks{{0.0, 0.1}, {1.0, 0.1}};
  const std::vector<double> caps{0.5};
  const Axis axis = make_axis(breaks, caps, 1.0, 0);
  REQUIRE(axis.n() == 10);
  for (int i = 0; i <= 10; ++i) {
    CHECK_THAT(axis.at(i), WithinAbs(0.1 * i, rounding));
  }
}

TEST_CASE("Axis: free growth gives a geometric sequence of widths", "[axis]") {
  // Four widths 1, 1.5, 2.25, 3.375 from a line that wants 1 to one that wants no less than what
  // comes next: the length for which the map counts exactly four cells.
  const std::vector<Break> breaks{{0.0, 1.0}, {8.125, 100.0}};
  const std::vector<double> caps{100.0};
  const Axis axis = make_axis(breaks, caps, 1.5, 0);
  REQUIRE(axis.n() == 4);
  CHECK_THAT(axis.width(0), WithinAbs(1.0, rounding));
  CHECK_THAT(axis.width(1), WithinAbs(1.5, rounding));
  CHECK_THAT(axis.width(2), WithinAbs(2.25, rounding));
  CHECK_THAT(axis.width(3), WithinAbs(3.375, rounding));
}

TEST_CASE("Axis: balanced sizes differ by no more than widths can grow in between", "[axis]") {
  const Input raw = uneven();
  const Input input = balanced(raw);
  for (std::size_t a = 0; a < input.breaks.size(); ++a) {
    CHECK(input.breaks[a].size <= raw.breaks[a].size);
    for (std::size_t b = 0; b < input.breaks.size(); ++b) {
      const double apart = std::abs(input.breaks[a].position - input.breaks[b].position);
      CHECK(input.breaks[a].size <= input.breaks[b].size + (growth - 1.0) * apart + rounding);
    }
  }
  CHECK(input.breaks[1].size <= raw.caps[1]);
  CHECK(input.breaks[2].size <= raw.caps[1]);
}

TEST_CASE("Axis: chains of short segments of unlike lengths stay within twice the cells",
          "[axis]") {
  // The sizes wanted are half the shorter segment, where balancing starts; from there it lowers
  // them by half at most.
  Input input;
  for (int k = 0; k <= 20; ++k) {
    input.breaks.push_back({0.085 * k + (k % 2 == 1 ? 0.015 : 0.0), 0.035});
  }
  input.caps.assign(20, 0.05);
  const Axis raw = axis_of(input);
  const Axis axis = axis_of(balanced(input));
  CHECK(axis.n() <= 2 * raw.n());
  CHECK(largest_ratio(axis) <= 2.0 * growth);
}

TEST_CASE("Axis: a cell is found by position and clamped at the ends", "[axis]") {
  const Axis axis{{0.0, 1.0, 3.0, 6.0}};
  CHECK(cell_at(axis, -1.0) == 0);
  CHECK(cell_at(axis, 0.0) == 0);
  CHECK(cell_at(axis, 0.999) == 0);
  CHECK(cell_at(axis, 1.0) == 1);
  CHECK(cell_at(axis, 5.0) == 2);
  CHECK(cell_at(axis, 6.0) == 2);
  CHECK(cell_at(axis, 60.0) == 2);
}

TEST_CASE("Axis: input that cannot be meshed is refused", "[axis]") {
  const std::vector<double> cap{1.0};
  const auto make = [&cap](std::vector<Break> breaks, double ratio, int level) {
    return make_axis(breaks, cap, ratio, level);
  };
  CHECK_THROWS_AS(make({{0.0, 0.1}}, growth, 0), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, 0.1}, {0.0, 0.1}}, growth, 0), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, 0.0}, {1.0, 0.1}}, growth, 0), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, std::nan("")}, {1.0, 0.1}}, growth, 0), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, 0.1}, {1.0, 0.1}}, 0.9, 0), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, 0.1}, {1.0, 0.1}}, growth, 3), std::invalid_argument);
  CHECK_THROWS_AS(make({{0.0, 1e-9}, {1.0, 1e-9}}, 1.0, 0), MeshError);
  CHECK_NOTHROW(make({{0.0, 0.1}, {1.0, 0.1}}, growth, 2));
}
