#include "post/fits/limit_bracket.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>
#include <vector>

namespace tiltfin::tests {
namespace {

constexpr CoreLimit limit_75{.room_temperature_c = 25.0, .limit_temperature_c = 100.0};

using Points = std::vector<LimitPoint>;

/// rise = factor * power^exponent.
LimitPoint law_point(double power, double factor, double exponent, bool is_added = false) {
  return {
      .power_w = power, .rise_k = {factor * std::pow(power, exponent), nan}, .is_added = is_added};
}

/// Adds powers of the law until none is asked for.
Points searched(Points points, const CoreLimit& core, double factor, double exponent) {
  while (const std::optional<double> power = power_to_add(points, {}, core)) {
    points.push_back(law_point(*power, factor, exponent, true));
  }
  return points;
}

Trend trend_of_listed(const Points& points) {
  std::vector<TrendPoint> listed;
  for (const LimitPoint& point : points) {
    if (!point.is_added) {
      listed.push_back({point.power_w, point.rise_k.value, 0.0});
    }
  }
  return fit_power_law(listed);
}

} // namespace

TEST_CASE("Limit bracket: a law that is met exactly is bracketed by two preferred powers",
          "[limit_bracket]") {
  // 2 * P^0.7 = 75 at P = 37.5^(1/0.7) = 177.3 W, between 160 and 180 W (ISO 3, R20).
  const double exact = std::pow(37.5, 1.0 / 0.7);
  const Points listed{law_point(10, 2, 0.7), law_point(20, 2, 0.7), law_point(40, 2, 0.7)};
  const Points all = searched(listed, limit_75, 2.0, 0.7);
  const BracketedLimit limit = bracketed_limit(trend_of_listed(all), all, limit_75);
  CHECK(limit.basis == LimitBasis::bracketed);
  CHECK(limit.low_w == 160.0);
  CHECK(limit.high_w == 180.0);
  CHECK(all.size() <= 6); // at most four times beyond 40 W at once, then one on either side
  // Interpolation in logarithms is exact on a power law; rounding of the root alone is left.
  CHECK_THAT(limit.power_w, WithinRel(exact, 1e-9));
  CHECK_THAT(limit.fit_w, WithinAbs(0.0, 1e-9));
  CHECK(limit.flow_w == 0.0);
}

TEST_CASE("Limit bracket: powers that are added are the numbers that their decimals mean",
          "[limit_bracket]") {
  // Limits of 118, 0.236 and 23.6 W between neighbours of the series whose products round.
  const std::vector<std::array<double, 3>> cases{
      {75.0 / 118.0, 112.0, 125.0}, {75.0 / 0.236, 0.224, 0.25}, {75.0 / 23.6, 22.4, 25.0}};
  for (const auto& [resistance, low, high] : cases) {
    const double near = 0.2 * high;
    const Points all =
        searched({law_point(near, resistance, 1), law_point(2.0 * near, resistance, 1)}, limit_75,
                 resistance, 1.0);
    const BracketedLimit limit = bracketed_limit(trend_of_listed(all), all, limit_75);
    CHECK(limit.low_w == low);
    CHECK(limit.high_w == high);
  }
}

TEST_CASE("Limit bracket: limits below and between the listed powers are found as well",
          "[limit_bracket]") {
  // 5 K/W: 15 W. From above all of them, and from within a wide pair.
  for (const Points& listed : {Points{law_point(100, 5, 1), law_point(200, 5, 1)},
                               Points{law_point(5, 5, 1), law_point(80, 5, 1)},
                               Points{law_point(1, 5, 1)}, Points{law_point(900, 5, 1)}}) {
    const Points all = searched(listed, limit_75, 5.0, 1.0);
    const BracketedLimit limit = bracketed_limit(trend_of_listed(all), all, limit_75);
    CAPTURE(listed.front().power_w, all.size());
    CHECK(limit.basis == LimitBasis::bracketed);
    CHECK(limit.low_w < 15.0);
    CHECK(limit.high_w >= 15.0);
    CHECK(limit.high_w <= 1.25 * limit.low_w * (1.0 + 1e-9));
    CHECK_THAT(limit.power_w, WithinRel(15.0, 1e-9));
  }
}

TEST_CASE("Limit bracket: nothing is added to listed powers that are close enough",
          "[limit_bracket]") {
  const Points listed{law_point(10, 5, 1), law_point(14, 5, 1), law_point(17, 5, 1)};
  CHECK_FALSE(power_to_add(listed, {}, limit_75).has_value());
  CHECK_FALSE(power_to_add(Points{}, {}, limit_75).has_value());
  // Exactly at the limit.
  CHECK_FALSE(power_to_add(Points{law_point(14, 5, 1), law_point(15, 5, 1)}, {}, limit_75));
}

TEST_CASE("Limit bracket: a power without a result ends the search", "[limit_bracket]") {
  const Points listed{law_point(10, 2, 0.7), law_point(40, 2, 0.7)};
  const std::vector<double> above{160.0};
  const std::vector<double> below{5.0};
  CHECK_FALSE(power_to_add(listed, above, limit_75).has_value());
  CHECK(power_to_add(listed, below, limit_75).has_value()); // the other way: not in the way
  const Points wide{law_point(1, 5, 1), law_point(80, 5, 1)};
  CHECK_FALSE(power_to_add(wide, std::vector<double>{16.0}, limit_75).has_value());
  // A flow that never gets warmer with power would be followed for ever.
  Points cold{law_point(10, 2, 0.7), law_point(40, 2, 0.7)};
  for (int k = 0; k < most_added_powers; ++k) {
    cold.push_back(law_point(41.0 + k, 2, 0.7, true));
  }
  CHECK_FALSE(power_to_add(cold, {}, limit_75).has_value());
}

TEST_CASE("Limit bracket: the resistance to the core counts", "[limit_bracket]") {
  // 4 K/W of the base and 1 K/W on top: 15 W again.
  CoreLimit core = limit_75;
  core.core_to_base_k_per_w = 1.0;
  const Points all = searched({law_point(2, 4, 1), law_point(4, 4, 1)}, core, 4.0, 1.0);
  CHECK_THAT(bracketed_limit(trend_of_listed(all), all, core).power_w, WithinRel(15.0, 1e-9));
}

TEST_CASE("Limit bracket: the error has the parts of mesh, fit and flow", "[limit_bracket]") {
  // 5 K/W round 15 W: 1.5 K of mesh and of fluctuation are 0.3 W each.
  Points points{law_point(10, 5, 1), law_point(14, 5, 1), law_point(16, 5, 1)};
  for (LimitPoint& point : points) {
    point.rise_k.error = 0.02 * point.rise_k.value;
  }
  points[2].flow_k = 1.5;
  const Trend trend = trend_of_listed(points);
  BracketedLimit limit = bracketed_limit(trend, points, limit_75);
  CHECK_THAT(limit.mesh_w, WithinRel(0.3, 1e-9)); // 2 % of 75 K over 5 K/W
  CHECK_THAT(limit.flow_w, WithinRel(0.3, 1e-9));
  CHECK_THAT(limit.error_w(), WithinRel(0.6, 1e-9));

  // A parabola in logarithms, y = x^2: the third point gives its bend exactly, and the part of the
  // fit is what interpolation misses: (x - a)(x - b).
  const auto bent = [](double power) {
    const double x = std::log(power);
    return LimitPoint{.power_w = power, .rise_k = {std::exp(x * x), nan}};
  };
  const Points parabola{bent(5.0), bent(7.0), bent(8.0)};
  CoreLimit core = limit_75;
  core.limit_temperature_c = 25.0 + std::exp(std::pow(std::log(7.5), 2)); // met at 7.5 W
  limit = bracketed_limit(trend_of_listed(parabola), parabola, core);
  // To first order in the miss itself, 2e-3: 2 % of it.
  CHECK_THAT(limit.fit_w, WithinRel(std::abs(limit.power_w - 7.5), 0.02));

  // Ends of two kinds: two laws, one through either end, meet the limit at different powers.
  Points branches{law_point(7, 5, 1), law_point(14, 5, 1), law_point(16, 5.5, 1)};
  branches[2].kind = FlowKind::mean;
  Trend line;
  line.n_points = 2;
  line.exponent = 1.0;
  line.factor = 5.0;
  limit = bracketed_limit(line, branches, limit_75);
  CHECK_THAT(limit.flow_w, WithinRel(0.5 * (75.0 / 5.0 - 75.0 / 5.5), 1e-9));
  branches[2].kind = FlowKind::steady;
  CHECK(bracketed_limit(line, branches, limit_75).flow_w == 0.0);
}

TEST_CASE("Limit bracket: outside the powers it is extrapolated and says how far fits disagree",
          "[limit_bracket]") {
  Points points{law_point(10, 2, 0.7), law_point(20, 2.1, 0.7), law_point(40, 2, 0.7)};
  const Trend trend = trend_of_listed(points);
  BracketedLimit limit = bracketed_limit(trend, points, limit_75);
  CHECK(limit.basis == LimitBasis::extrapolated);
  CHECK(limit.low_w == 40.0);
  CHECK(std::isnan(limit.high_w));
  CHECK_THAT(limit.power_w, WithinRel(fitted_power_limit(trend, 75.0, 0.0), 1e-12));
  // The last two alone: exponent 0.7 - ln(1.05) / ln(2) from 40 W on.
  const double exponent = 0.7 - std::log(1.05) / std::log(2.0);
  const double local = 40.0 * std::pow(75.0 / points[2].rise_k.value, 1.0 / exponent);
  CHECK_THAT(limit.fit_w, WithinRel(std::abs(local - limit.power_w), 1e-9));
  // Where powers were added, those nearest to the limit lead there.
  points[2].is_added = true;
  CHECK_THAT(bracketed_limit(trend, points, limit_75).power_w, WithinRel(local, 1e-9));
}

} // namespace tiltfin::tests
