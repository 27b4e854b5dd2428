#include "post/numbers/order_averaged.hpp"
#include "tests/catch.hpp"

#include <bit>
#include <cmath>
#include <numeric>
#include <random>

namespace tiltfin::tests {
namespace {

/// Sums of some hundred terms of order one.
constexpr double sum_rounding = 1e-13;

} // namespace

TEST_CASE("Order-averaged parts: the glove game", "[why]") {
  // One owner of a left glove (bit 0), two of a right one; a pair is worth 1. The Shapley values
  // are 2/3, 1/6, 1/6: a textbook example (Owen, Game Theory; from memory).
  std::vector<double> values;
  for (unsigned subset = 0; subset < 8; ++subset) {
    values.push_back((subset & 1U) != 0 && (subset & 6U) != 0 ? 1.0 : 0.0);
  }
  const std::vector<double> parts = order_averaged(values);
  REQUIRE(parts.size() == 3);
  CHECK_THAT(parts[0], WithinAbs(2.0 / 3.0, sum_rounding));
  CHECK_THAT(parts[1], WithinAbs(1.0 / 6.0, sum_rounding));
  CHECK_THAT(parts[2], WithinAbs(1.0 / 6.0, sum_rounding));
}

TEST_CASE("Order-averaged parts: add up, and a change without effect has none", "[why]") {
  std::mt19937 random(7);
  std::uniform_real_distribution<double> any(-1.0, 1.0);
  for (int n = 1; n <= 9; ++n) {
    const unsigned idle = 1U << static_cast<unsigned>(n - 1); // the last change does nothing
    std::vector<double> values(std::size_t{1} << static_cast<unsigned>(n));
    for (unsigned subset = 0; subset < values.size(); ++subset) {
      values[subset] = (subset & idle) != 0 ? values[subset ^ idle] : any(random);
    }
    const std::vector<double> parts = order_averaged(values);
    INFO(n << " changes");
    REQUIRE(parts.size() == static_cast<std::size_t>(n));
    CHECK(parts.back() == 0.0);
    CHECK_THAT(std::accumulate(parts.begin(), parts.end(), 0.0),
               WithinAbs(values.back() - values.front(), sum_rounding));
  }
}

TEST_CASE("Order-averaged parts: two changes share what only both bring", "[why]") {
  const std::vector<double> parts = order_averaged({10.0, 13.0, 11.0, 20.0});
  // 3 alone or 9 after the other; 1 or 7.
  CHECK_THAT(parts[0], WithinAbs(6.0, sum_rounding));
  CHECK_THAT(parts[1], WithinAbs(4.0, sum_rounding));
}

} // namespace tiltfin::tests
