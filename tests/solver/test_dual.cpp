#include "solver/dual.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double two_roundings = 4e-16; // two roundings, relative

const double x = 1.3;
const double y = -0.7;

/// A function of x and y: value and analytic derivatives.
struct Expected {
  double value;
  double by_x;
  double by_y;
};

void check(const Dual<2>& ours, const Expected& expected) {
  CHECK_THAT(ours.value, WithinRel(expected.value, two_roundings));
  CHECK_THAT(ours.slope[0], WithinRel(expected.by_x, two_roundings));
  CHECK_THAT(ours.slope[1], WithinRel(expected.by_y, two_roundings));
}

Dual<2> dual_x() {
  return Dual<2>::unknown(x, 0);
}
Dual<2> dual_y() {
  return Dual<2>::unknown(y, 1);
}

} // namespace

TEST_CASE("Dual: the four operations follow the rules of differentiation", "[dual]") {
  check(dual_x() + dual_y(), {x + y, 1.0, 1.0});
  check(dual_x() - dual_y(), {x - y, 1.0, -1.0});
  check(dual_x() * dual_y(), {x * y, y, x});
  check(dual_x() / dual_y(), {x / y, 1.0 / y, -x / (y * y)});
  check(-dual_x(), {-x, -1.0, 0.0});
}

TEST_CASE("Dual: a plain number is a constant on either side", "[dual]") {
  check(dual_x() + 2.0, {x + 2.0, 1.0, 0.0});
  check(2.0 + dual_y(), {2.0 + y, 0.0, 1.0});
  check(dual_x() - 2.0, {x - 2.0, 1.0, 0.0});
  check(2.0 - dual_y(), {2.0 - y, 0.0, -1.0});
  check(dual_x() * 3.0, {3.0 * x, 3.0, 0.0});
  check(3.0 * dual_y(), {3.0 * y, 0.0, 3.0});
  check(dual_x() / 4.0, {x / 4.0, 0.25, 0.0});
  check(Dual<2>(5.0), {5.0, 0.0, 0.0});
}

TEST_CASE("Dual: operating in place equals operating", "[dual]") {
  Dual<2> a = dual_x();
  a += dual_y();
  a *= dual_x();
  a -= dual_y();
  a /= dual_x(); // (x (x + y) - y) / x
  check(a, {x + y - y / x, 1.0 + y / (x * x), 1.0 - 1.0 / x});
  const Dual<2>& same = a; // the same object on both sides
  a = dual_x();
  a *= same;
  check(a, {x * x, 2.0 * x, 0.0});
  a = dual_x();
  a /= same;
  CHECK(a.value == 1.0);
  CHECK_THAT(a.slope[0], WithinAbs(0.0, two_roundings));
}

TEST_CASE("Dual: composed functions obey the chain rule", "[dual]") {
  // The share of upwind of the solver's convection: r^4 / (1 + r^4) with r = x y.
  const Dual<2> r = dual_x() * dual_y();
  const Dual<2> fourth = (r * r) * (r * r);
  const Dual<2> share = fourth / (1.0 + fourth);
  const double p = x * y;
  const double derivative = 4.0 * p * p * p / ((1.0 + p * p * p * p) * (1.0 + p * p * p * p));
  // Some ten roundings.
  CHECK_THAT(share.slope[0], WithinRel(derivative * y, 10.0 * two_roundings));
  CHECK_THAT(share.slope[1], WithinRel(derivative * x, 10.0 * two_roundings));
  CHECK(value_of(share) == share.value);
  CHECK(value_of(2.5) == 2.5);
}
