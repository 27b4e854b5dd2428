#include "post/trend.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <vector>

namespace tiltfin::tests {
namespace {

constexpr double rounding = 1e-12; // logarithms and powers of numbers near one

std::vector<TrendPoint> power_law(double factor, double exponent,
                                  const std::vector<double>& powers) {
  std::vector<TrendPoint> points;
  for (const double power : powers) {
    points.push_back({power, factor * std::pow(power, exponent)});
  }
  return points;
}

} // namespace

TEST_CASE("Trend: an exact power law is found again", "[trend]") {
  const Trend trend = fit_power_law(power_law(2.5, 0.8, {5.0, 40.0, 10.0, 20.0}));
  CHECK(trend.n_points == 4);
  CHECK_THAT(trend.factor, WithinRel(2.5, rounding));
  CHECK_THAT(trend.exponent, WithinRel(0.8, rounding));
  CHECK_THAT(trend.exponent_low, WithinRel(0.8, rounding));
  CHECK_THAT(trend.exponent_high, WithinRel(0.8, rounding));
  CHECK(trend.largest_misfit < rounding);
}

TEST_CASE("Trend: the interval is Student's", "[trend]") {
  // By hand: ln P = 0, 1, 2 and ln rise = 0, 1.1, 1.9 give the slope 1.9 / 2 = 0.95, the
  // intercept 1 - 0.95 = 0.05, residuals -0.05, 0.1, -0.05, the standard error
  // sqrt(0.015 / 1 / 2), and with one degree of freedom t = 12.706 (standard table).
  const std::vector<TrendPoint> points{
      {1.0, 1.0}, {std::exp(1.0), std::exp(1.1)}, {std::exp(2.0), std::exp(1.9)}};
  const Trend trend = fit_power_law(points);
  CHECK_THAT(trend.exponent, WithinRel(0.95, rounding));
  CHECK_THAT(trend.factor, WithinRel(std::exp(0.05), rounding));
  const double half_width = 12.706 * std::sqrt(0.0075);
  CHECK_THAT(trend.exponent_low, WithinRel(0.95 - half_width, 1e-10));
  CHECK_THAT(trend.exponent_high, WithinRel(0.95 + half_width, 1e-10));
  CHECK_THAT(trend.largest_misfit, WithinRel(1.0 - std::exp(-0.1), 1e-10));
}

TEST_CASE("Trend: points without power or rise do not take part", "[trend]") {
  std::vector<TrendPoint> points = power_law(3.0, 0.75, {10.0, 20.0, 30.0});
  points.push_back({0.0, 0.0});
  points.push_back({50.0, std::nan("")});
  points.push_back({60.0, -1.0});
  CHECK(fit_power_law(points).n_points == 3);
  CHECK_THAT(fit_power_law(points).exponent, WithinRel(0.75, rounding));
  CHECK(fit_power_law(std::vector<TrendPoint>{}).n_points == 0);
}

TEST_CASE("Trend: one point is a straight line through zero", "[trend]") {
  const std::vector<TrendPoint> points{{10.0, 20.0}};
  const Trend trend = fit_power_law(points);
  CHECK(trend.exponent == 1.0);
  CHECK_THAT(trend.factor, WithinRel(2.0, rounding));
  const PowerLimit limit = power_limit(trend, points, 75.0, 0.5);
  CHECK_THAT(limit.power_w, WithinRel(30.0, rounding)); // 75 K over 2 + 0.5 K/W
  CHECK(limit.extrapolated);
}

TEST_CASE("Power limit: base and die together meet the limit", "[trend]") {
  // rise = 2 P^0.8 with 0.5 K/W in series is at this limit at 30 W, whether that lies between the
  // points or beyond them. 1e-10: what the bisection is asked for, and more than rounding adds.
  const double limit_rise = 2.0 * std::pow(30.0, 0.8) + 0.5 * 30.0;
  const auto between = power_law(2.0, 0.8, {10.0, 20.0, 40.0});
  const auto below = power_law(2.0, 0.8, {5.0, 10.0, 20.0});
  const auto above = power_law(2.0, 0.8, {40.0, 80.0});
  const PowerLimit inside = power_limit(fit_power_law(between), between, limit_rise, 0.5);
  CHECK_THAT(inside.power_w, WithinRel(30.0, 1e-10));
  CHECK_FALSE(inside.extrapolated);
  for (const auto& points : {below, above}) {
    const PowerLimit outside = power_limit(fit_power_law(points), points, limit_rise, 0.5);
    CHECK_THAT(outside.power_w, WithinRel(30.0, 1e-10));
    CHECK(outside.extrapolated);
  }
}

TEST_CASE("Power limit: points that bracket the limit count more than the fit", "[trend]") {
  // Between 10 W, 10 K and 40 W, 40 K the logarithmic chord is rise = P; the third point bends the
  // fit away from it.
  const std::vector<TrendPoint> points{{10.0, 10.0}, {40.0, 40.0}, {80.0, 200.0}};
  const PowerLimit limit = power_limit(fit_power_law(points), points, 25.0, 0.0);
  CHECK_THAT(limit.power_w, WithinRel(25.0, 1e-10));
  CHECK(power_limit(fit_power_law(points), points, 40.0, 0.0).power_w == 40.0);
}

TEST_CASE("Power limit: none without a trend, zero where the room is at the limit", "[trend]") {
  CHECK(std::isnan(power_limit(Trend{}, {}, 50.0, 0.0).power_w));
  const auto points = power_law(2.0, 0.8, {10.0, 20.0});
  CHECK(power_limit(fit_power_law(points), points, 0.0, 0.0).power_w == 0.0);
  const std::vector<TrendPoint> falling{{10.0, 20.0}, {20.0, 10.0}};
  CHECK(std::isnan(power_limit(fit_power_law(falling), falling, 50.0, 0.0).power_w));
}

} // namespace tiltfin::tests
