#include "post/fits/joint_limit.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <limits>
#include <vector>

using namespace tiltfin;
using Catch::Matchers::WithinRel;

namespace {

/// Heats that grow as powers of the rise, at a few rises.
std::vector<JointPoint> power_law(double air, double other, double exponent) {
  std::vector<JointPoint> points;
  for (const double rise : {10.0, 30.0, 90.0}) {
    points.push_back({rise, air * std::pow(rise, exponent), other * std::pow(rise, exponent)});
  }
  return points;
}

const CoreLimit at_base{20.0, 80.0, 0.0};
const JointErrors none{0.0, 0.0};

} // namespace

TEST_CASE("Joint limit: at the base both heats of the air add up by their rule", "[limit]") {
  const std::vector<JointPoint> first = power_law(0.3, 0.1, 1.25);
  const std::vector<JointPoint> second = power_law(0.4, 9.0, 1.25); // its other heat is not counted
  const double unit = std::pow(60.0, 1.25);
  const auto power = [&](double exponent) {
    return joint_limit(first, second, {exponent}, none, at_base).power_w.value;
  };
  CHECK_THAT(power(1.0), WithinRel(0.8 * unit, 1e-9));
  CHECK_THAT(power(2.0), WithinRel(0.6 * unit, 1e-9)); // a triangle of 3, 4 and 5
  CHECK_THAT(power(std::numeric_limits<double>::infinity()), WithinRel(0.5 * unit, 1e-9));
  const JointLimit two = joint_limit(first, second, {2.0}, none, at_base);
  CHECK_THAT(two.second_share, WithinRel(16.0 / 25.0, 1e-9));
  CHECK_THAT(two.rise_k, WithinRel(60.0, 1e-9));
  CHECK_FALSE(two.is_extrapolated);
  const auto is_extrapolated = [&](double limit_c) {
    return joint_limit(first, second, {1.0}, none, {20.0, limit_c, 0.0}).is_extrapolated;
  };
  CHECK_FALSE(is_extrapolated(20.0 + 98.0)); // the points end at 90 K
  CHECK(is_extrapolated(20.0 + 101.0));
}

TEST_CASE("Joint limit: equal planes give off what one does times a root of two", "[limit]") {
  const std::vector<JointPoint> plane = power_law(0.5, 0.0, 1.2);
  const double one = 0.5 * std::pow(60.0, 1.2);
  CHECK_THAT(joint_limit(plane, plane, {2.5}, none, at_base).power_w.value,
             WithinRel(std::pow(2.0, 0.4) * one, 1e-9));
  CHECK_THAT(joint_limit(plane, plane, {std::numeric_limits<double>::infinity()}, none, at_base)
                 .power_w.value,
             WithinRel(one, 1e-9));
}

TEST_CASE("Joint limit: a resistance to the core takes its part of the rise", "[limit]") {
  // P = (0.3 + 0.2 + 0.1) rise and rise + 0.5 P = 60.
  const JointLimit limit = joint_limit(power_law(0.3, 0.1, 1.0), power_law(0.2, 0.0, 1.0), {1.0},
                                       none, {20.0, 80.0, 0.5});
  CHECK_THAT(limit.power_w.value, WithinRel(0.6 * 60.0 / 1.3, 1e-9));
  CHECK_THAT(limit.rise_k, WithinRel(60.0 / 1.3, 1e-9));
}

TEST_CASE("Joint limit: each plane's error counts for its part of the heat", "[limit]") {
  const JointLimit limit =
      joint_limit(power_law(0.3, 0.1, 1.0), power_law(0.2, 0.0, 1.0), {1.0}, {0.1, 0.05}, at_base);
  CHECK_THAT(limit.power_w.error, WithinRel(60.0 * (0.1 * 0.4 + 0.05 * 0.2), 1e-9));
  const JointLimit larger =
      joint_limit(power_law(0.3, 0.1, 1.0), power_law(0.2, 0.0, 1.0),
                  {std::numeric_limits<double>::infinity()}, {0.1, 0.05}, at_base);
  CHECK_THAT(larger.power_w.error, WithinRel(60.0 * 0.1 * 0.4, 1e-9));
  // The second plane's error is not known, and does not count where the first is the larger.
  const JointErrors half{0.1, tiltfin::nan};
  const std::vector<JointPoint> most = power_law(0.3, 0.1, 1.0);
  const std::vector<JointPoint> least = power_law(0.2, 0.0, 1.0);
  CHECK_THAT(joint_limit(most, least, {std::numeric_limits<double>::infinity()}, half, at_base)
                 .power_w.error,
             WithinRel(60.0 * 0.1 * 0.4, 1e-9));
  CHECK(std::isnan(joint_limit(most, least, {1.0}, half, at_base).power_w.error));
}

TEST_CASE("Joint limit: outside the solved rises it says so, without points there is none",
          "[limit]") {
  const std::vector<JointPoint> plane = power_law(0.5, 0.1, 1.2);
  const JointLimit beyond = joint_limit(plane, plane, {1.0}, none, {20.0, 150.0, 0.0});
  CHECK(beyond.is_extrapolated);
  CHECK_THAT(beyond.power_w.value, WithinRel(1.1 * std::pow(130.0, 1.2), 1e-9));
  CHECK(std::isnan(joint_limit(plane, {}, {1.0}, none, at_base).power_w.value));
  CHECK(std::isnan(joint_limit({}, plane, {1.0}, none, at_base).power_w.value));
  const std::vector<JointPoint> cold{{-1.0, 0.4, 0.0}, {10.0, 0.0, 0.0}};
  CHECK(std::isnan(joint_limit(plane, cold, {1.0}, none, at_base).power_w.value));
  const std::vector<JointPoint> single{{30.0, 6.0, 0.0}};
  CHECK_THAT(joint_limit(single, single, {1.0}, none, at_base).power_w.value,
             WithinRel(24.0, 1e-9)); // 0.2 W/K each, straight through zero
}
