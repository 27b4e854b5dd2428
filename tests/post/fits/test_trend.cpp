#include "post/fits/student.hpp"
#include "post/fits/trend.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

namespace tiltfin::tests {
namespace {

std::vector<TrendPoint> power_law(double factor, double exponent,
                                  const std::vector<double>& powers) {
  std::vector<TrendPoint> points;
  for (const double power : powers) {
    points.push_back({power, factor * std::pow(power, exponent)});
  }
  return points;
}

/// Made-up points with standard errors, small enough for the scatter to exceed them.
const std::vector<TrendPoint> noisy{
    {10.0, 14.2, 0.1}, {20.0, 25.1, 0.125}, {40.0, 43.9, 0.25}, {60.0, 61.8, 0.45}};

/// Reference numbers of the checks named "statistics library": SciPy 1.10.1 with NumPy 1.24.2,
/// printed with 8 digits or more. Products of a quantile of 7 digits and a standard error: 1e-6.
constexpr double printed = 1e-7;
constexpr double product = 1e-6;

std::vector<TrendPoint> without_errors(std::vector<TrendPoint> points) {
  for (TrendPoint& point : points) {
    point.rise_error_k = 0.0;
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
  // sqrt(0.015 / 1 / 2), and with one degree of freedom (Cauchy) t = tan(0.475 pi) = 12.706.
  const std::vector<TrendPoint> points{
      {1.0, 1.0}, {std::exp(1.0), std::exp(1.1)}, {std::exp(2.0), std::exp(1.9)}};
  const Trend trend = fit_power_law(points);
  CHECK_THAT(trend.exponent, WithinRel(0.95, rounding));
  CHECK_THAT(trend.factor, WithinRel(std::exp(0.05), rounding));
  const double half_width = std::tan(0.475 * std::numbers::pi) * std::sqrt(0.0075);
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

TEST_CASE("Trend: the unweighted power law agrees with a statistics library", "[trend]") {
  // scipy.stats.linregress on the logarithms; Student's t with 2 degrees of freedom, 4.302653.
  const Trend trend = fit_power_law(without_errors(noisy));
  CHECK_THAT(trend.exponent, WithinRel(0.8186290757, printed));
  CHECK_THAT(std::log(trend.factor), WithinRel(0.7682493412, printed));
  CHECK_THAT(trend.exponent_high - trend.exponent, WithinRel(4.302653 * 0.0039465276, product));
}

TEST_CASE("Trend: the weighted fits agree with a statistics library", "[trend]") {
  // scipy.optimize.curve_fit with sigma and absolute_sigma=False, on logarithms and on the values.
  // 1e-6: curve_fit's own default tolerance of 1e-8 on sums of squares.
  constexpr double fitted = 1e-6;
  const Trend trend = fit_power_law(noisy);
  CHECK_THAT(trend.exponent, WithinRel(0.8175185514, fitted));
  CHECK_THAT(std::log(trend.factor), WithinRel(0.7716238955, fitted));
  CHECK_THAT(fitted_rise(trend, 50.0), WithinRel(52.97262526757227, fitted));
  const double t = 4.302653;
  CHECK_THAT(trend.exponent - trend.exponent_low, WithinRel(t * 0.0044688357, product));
  const Interval band = fitted_rise_interval(trend, 50.0);
  CHECK_THAT(std::log(band.high / 52.97262526757227), WithinRel(t * 0.00399934511502152, product));

  const Trend line = fit_line(noisy);
  CHECK(line.is_line);
  CHECK_THAT(line.factor, WithinRel(0.97989598, fitted));
  CHECK_THAT(line.offset_k, WithinRel(4.77104795, fitted));
  const double variance =
      0.5869862698635425 - 2.0 * 50.0 * 0.0239044679852061 + 2500.0 * 0.0013745161223677502;
  const Interval line_band = fitted_rise_interval(line, 50.0);
  CHECK_THAT(0.5 * (line_band.high - line_band.low), WithinRel(t * std::sqrt(variance), product));
}

TEST_CASE("Trend: Student's quantile agrees with a statistics library's", "[trend]") {
  // scipy.stats.t.ppf(0.975, degrees), printed with 10 digits; that for 45 was copied wrongly in
  // its ninth and is from Abramowitz and Stegun 1964, eq. 26.7.3, solved for t.
  const std::vector<std::array<double, 2>> values{
      {1.0, 12.706204736}, {1.5, 6.016663108},  {2.5, 3.574654842}, {7.3, 2.345066737},
      {12.5, 2.169185943}, {29.5, 2.043724967}, {45.0, 2.014103389}};
  for (const auto& [degrees, quantile] : values) {
    CAPTURE(degrees);
    CHECK_THAT(student_quantile(degrees), WithinRel(quantile, 1e-9));
  }
}

TEST_CASE("Trend: the trade's arithmetic, a line to 100 degrees in a room of 25", "[trend]") {
  // Common practice, no source: 75 K are to be had; 5 K and 1.4 K/W leave (75 - 5) / 1.4 = 50 W.
  const std::vector<TrendPoint> points{{10.0, 19.0}, {20.0, 33.0}, {30.0, 47.0}};
  const Trend line = fit_line(points);
  CHECK_THAT(line.offset_k, WithinRel(5.0, 1e-10));
  CHECK_THAT(line.factor, WithinRel(1.4, rounding));
  CHECK_THAT(fitted_power_limit(line, 100.0 - 25.0, 0.0), WithinRel(50.0, 1e-10));
  // With another 0.35 K/W from base to core: 70 / 1.75 = 40 W.
  CHECK_THAT(fitted_power_limit(line, 75.0, 0.35), WithinRel(40.0, 1e-10));
}

TEST_CASE("Trend: two powers give a limit without an interval, one a line through zero",
          "[trend]") {
  const std::vector<TrendPoint> two{{10.0, 20.0, 0.1}, {20.0, 36.0, 0.1}};
  for (const Trend& trend : {fit_power_law(two), fit_line(two)}) {
    CHECK(fitted_power_limit(trend, 75.0, 0.0) > 20.0);
    CHECK(std::isnan(fitted_power_limit_interval(trend, 75.0, 0.0).low));
  }
  const std::vector<TrendPoint> one{{10.0, 20.0}, {10.0, 22.0}};
  CHECK_THAT(fitted_power_limit(fit_line(one), 63.0, 0.0), WithinRel(30.0, rounding));
}

TEST_CASE("Trend: the edges of the limit's interval lie on the edges of the band", "[trend]") {
  const Trend trend = fit_power_law(noisy);
  const Interval limit = fitted_power_limit_interval(trend, 55.0, 0.3);
  REQUIRE(limit.high > limit.low);
  CHECK_THAT(fitted_rise_interval(trend, limit.low).high + 0.3 * limit.low, WithinRel(55.0, 1e-10));
  CHECK_THAT(fitted_rise_interval(trend, limit.high).low + 0.3 * limit.high,
             WithinRel(55.0, 1e-10));
  // Three points that hardly tell that the rise rises leave the interval open.
  const std::vector<TrendPoint> wild{{10.0, 20.0}, {20.0, 55.0}, {30.0, 40.0}};
  CHECK(std::isinf(fitted_power_limit_interval(fit_power_law(wild), 75.0, 0.0).high));
}

TEST_CASE("Trend: intervals of the power limit cover the truth as often as they say", "[trend]") {
  // Truth: rise = 2 P^0.82, 95 % intervals from three and from five powers, 2 % of scatter, 4000
  // trials. Without known errors the interval is exact: 95 % within four standard errors of the
  // share, sqrt(0.95 * 0.05 / 4000) = 0.0034. With known errors it is never narrower: 94 % or more.
  std::mt19937 generator(20260101);
  std::normal_distribution<double> normal;
  const double truth = std::pow(75.0 / 2.0, 1.0 / 0.82);
  for (const auto& powers :
       {std::vector<double>{15.0, 25.0, 40.0}, std::vector<double>{10.0, 15.0, 20.0, 30.0, 40.0}}) {
    int plain = 0;
    int weighted = 0;
    constexpr int trials = 4000;
    for (int k = 0; k < trials; ++k) {
      std::vector<TrendPoint> points = power_law(2.0, 0.82, powers);
      for (TrendPoint& point : points) {
        point.rise_k *= std::exp(0.02 * normal(generator));
      }
      const auto covers = [&](const Trend& trend) {
        const Interval limit = fitted_power_limit_interval(trend, 75.0, 0.0);
        return limit.low <= truth && truth <= limit.high;
      };
      plain += covers(fit_power_law(points)) ? 1 : 0;
      for (TrendPoint& point : points) {
        point.rise_error_k = 0.02 * point.rise_k;
      }
      weighted += covers(fit_power_law(points)) ? 1 : 0;
    }
    const double share = static_cast<double>(plain) / trials;
    const double weighted_share = static_cast<double>(weighted) / trials;
    CAPTURE(powers.size(), share, weighted_share);
    CHECK_THAT(share, WithinAbs(0.95, 0.0138));
    CHECK(weighted_share >= 0.94);
  }
}

} // namespace tiltfin::tests
