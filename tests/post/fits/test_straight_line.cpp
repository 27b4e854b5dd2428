#include "post/fits/straight_line.hpp"
#include "tests/catch.hpp"

#include <array>

namespace tiltfin::tests {

TEST_CASE("Straight line: three points by hand, with and without weights", "[straight_line]") {
  constexpr double few_roundings = 1e-14;
  const std::array<double, 3> x{0.0, 1.0, 2.0};
  const std::array<double, 3> y{1.0, 3.0, 4.0};
  // Twice the weight in the middle: means 1 and 11/4, sxx 2, sxy 7/4 + 5/4, residuals of a quarter.
  const StraightLine weighted = fit_straight_line(x, y, std::array{1.0, 2.0, 1.0});
  CHECK_THAT(weighted.weight, WithinRel(4.0, few_roundings));
  CHECK_THAT(weighted.mean_x, WithinRel(1.0, few_roundings));
  CHECK_THAT(weighted.mean_y, WithinRel(2.75, few_roundings));
  CHECK_THAT(weighted.sxx, WithinRel(2.0, few_roundings));
  CHECK_THAT(weighted.slope, WithinRel(1.5, few_roundings));
  CHECK_THAT(weighted.sum_of_squares, WithinRel(0.25, few_roundings));
  CHECK_THAT(weighted.at(3.0), WithinRel(5.75, few_roundings));
  // Alike: mean 8/3, the same slope, residuals -1/6, 1/3, -1/6.
  const StraightLine alike = fit_straight_line(x, y);
  CHECK_THAT(alike.weight, WithinRel(3.0, few_roundings));
  CHECK_THAT(alike.slope, WithinRel(1.5, few_roundings));
  CHECK_THAT(alike.sum_of_squares, WithinRel(1.0 / 6.0, few_roundings));
}

} // namespace tiltfin::tests
