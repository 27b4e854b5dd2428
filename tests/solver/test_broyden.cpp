#include "solver/broyden.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// x + a tanh(y) = 1, y - a tanh(x) = 0.5; the old factors are those of a = 0.
std::array<double, 2> residual_at(const std::vector<double>& x, double a) {
  return {x[0] + a * std::tanh(x[1]) - 1.0, x[1] - a * std::tanh(x[0]) - 0.5};
}

double size(const std::array<double, 2>& f) {
  return std::hypot(f[0], f[1]);
}

/// Residual after each of ten corrections, with Broyden's updates or without.
std::vector<double> iterate(bool updated, double a) {
  const std::vector<double> scale{1.0, 1.0};
  Broyden broyden(scale);
  std::vector<double> x{0.0, 0.0};
  std::vector<double> sizes;
  for (int k = 0; k < 10; ++k) {
    const auto f = residual_at(x, a);
    std::vector<double> dz{f[0], f[1]};
    if (updated) {
      dz = broyden.correct(dz);
    }
    x = {x[0] - dz[0], x[1] - dz[1]};
    sizes.push_back(size(residual_at(x, a)));
  }
  return sizes;
}

} // namespace

TEST_CASE("Broyden: old factors that would not converge do with updates", "[broyden]") {
  const double a = 1.5;
  CHECK(iterate(false, a).back() > 1e-2);
  CHECK(iterate(true, a).back() < 1e-8);
}

TEST_CASE("Broyden: a linear system of n unknowns is solved in 2 n corrections", "[broyden]") {
  // Gay, SIAM J. Numer. Anal. 16 (1979) 623: at most 2 n steps; from memory.
  const std::vector<double> scale{1.0, 3.0};
  Broyden broyden(scale);
  std::vector<double> x{0.0, 0.0};
  for (int k = 0; k < 4; ++k) {
    x = [&] { // 1.4 x + 0.3 y = 1, -0.2 x + 0.7 y = 2, with the unit matrix as factors
      const std::vector<double> dz =
          broyden.correct({1.4 * x[0] + 0.3 * x[1] - 1.0, -0.2 * x[0] + 0.7 * x[1] - 2.0});
      return std::vector<double>{x[0] - dz[0], x[1] - dz[1]};
    }();
  }
  const double determinant = 1.4 * 0.7 + 0.3 * 0.2;
  CHECK_THAT(x[0], WithinAbs((0.7 * 1.0 - 0.3 * 2.0) / determinant, 1e-10));
  CHECK_THAT(x[1], WithinAbs((1.4 * 2.0 + 0.2 * 1.0) / determinant, 1e-10));
}

TEST_CASE("Broyden: with new factors it starts anew", "[broyden]") {
  const std::vector<double> scale{1.0, 1.0};
  Broyden broyden(scale);
  const std::vector<double> first = broyden.correct({0.5, 0.25});
  CHECK(broyden.correct({0.1, 0.4})[0] != 0.1);
  broyden.clear();
  CHECK(broyden.correct({0.5, 0.25}) == first);
}
