#include "post/fits/calibration.hpp"
#include "tests/catch.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

constexpr double fitted = 1e-6; // what the minimisation and its differences are good for

/// Solved: base rise 2 P^0.7 upright and 4 P^0.85 flat, 0.3 K/W in the case.
Computed solved() {
  Computed computed;
  computed.title = "test";
  computed.core.core_to_base_k_per_w = 0.3;
  for (const double power : {10.0, 20.0, 40.0}) {
    computed.points.push_back({"on", "upright", power, {2.0 * std::pow(power, 0.7), 0.1}});
    computed.points.push_back({"on", "flat-up", power, {4.0 * std::pow(power, 0.85), 0.1}});
  }
  return computed;
}

/// Core rises of a machine whose share of the heat and resistance differ from the case's.
std::vector<MeasuredPoint> machine(double share, double resistance, double depth_ratio = 1.0) {
  std::vector<MeasuredPoint> points;
  for (const double power : {12.0, 20.0, 35.0}) {
    const double q = share * power / depth_ratio;
    points.push_back(
        {"on", "upright", power, {2.0 * std::pow(q, 0.7) + resistance * share * power, 0.1}});
    points.push_back(
        {"on", "flat-up", power, {4.0 * std::pow(q, 0.85) + resistance * share * power, 0.1}});
  }
  return points;
}

} // namespace

TEST_CASE("Comparison: a power law through the solved powers, going on outside", "[comparison]") {
  const Computed computed = solved();
  const Placing upright{"on", "upright"};
  CHECK_THAT(base_rise_at(computed, upright, 30.0).rise_k.value,
             WithinRel(2.0 * std::pow(30.0, 0.7), rounding));
  const BaseRise outside = base_rise_at(computed, upright, 80.0);
  CHECK_THAT(outside.rise_k.value, WithinRel(2.0 * std::pow(80.0, 0.7), rounding));
  CHECK(outside.is_outside);
  CHECK_FALSE(base_rise_at(computed, upright, 40.0).is_outside);
  CHECK_FALSE(base_rise_at(computed, upright, 9.9).is_outside); // a meter's reading of 10
  CHECK(base_rise_at(computed, upright, 5.0).is_outside);
  CHECK(std::isnan(base_rise_at(computed, {"off", "upright"}, 20.0).rise_k.value));
}

TEST_CASE("Comparison: bias, spread and order by hand", "[comparison]") {
  // Measured 25 % above and 20 % below what is computed: ln(computed / measured) = -ln 1.25 and
  // +ln 1.25; mean 0, standard deviation sqrt(2) ln 1.25.
  const Computed computed = solved();
  const double core = 2.0 * std::pow(20.0, 0.7) + 0.3 * 20.0;
  const std::vector<MeasuredPoint> measured{{"on", "upright", 20.0, {1.25 * core, 0.1}},
                                            {"on", "upright", 20.0, {0.8 * core, 0.1}},
                                            {"off", "upright", 20.0, {30.0, 0.1}}};
  Physical physical;
  physical.core_to_base_k_per_w = 0.3;
  const Comparison comparison = compare(computed, measured, physical, false);
  REQUIRE(comparison.points.size() == 2);
  CHECK(comparison.unsolved.size() == 1);
  CHECK_THAT(comparison.points[0].deviation, WithinRel(-0.2, 1e-10));
  CHECK_THAT(comparison.bias, WithinAbs(0.0, rounding));
  CHECK_THAT(comparison.spread, WithinRel(std::sqrt(2.0) * std::log(1.25), 1e-10));
  CHECK(comparison.orders.empty());
}

TEST_CASE("Comparison: the order of orientations is agreed or not, clear or not", "[comparison]") {
  const Computed computed = solved();
  Physical physical;
  physical.core_to_base_k_per_w = 0.3;
  std::vector<MeasuredPoint> measured = machine(1.0, 0.3);
  const Comparison same = compare(computed, measured, physical, false);
  REQUIRE(same.orders.size() == 1);
  CHECK(same.orders[0].is_agreed());
  CHECK(same.orders[0].is_clear);
  CHECK(same.orders[0].cooler == "upright");
  for (MeasuredPoint& point : measured) {
    point.orientation = point.orientation == "upright" ? "flat-up" : "upright";
    point.rise_k.error = 0.6 * point.rise_k.value;
  }
  const Comparison swapped = compare(computed, measured, physical, false);
  REQUIRE(swapped.orders.size() == 1);
  CHECK_FALSE(swapped.orders[0].is_agreed());
  CHECK_FALSE(swapped.orders[0].is_clear);
}

TEST_CASE("Calibration: the values that made the data are found again", "[comparison]") {
  const Computed computed = solved();
  const std::vector<Unknown> both{Unknown::core_to_base, Unknown::heat_share};
  const Calibration two = calibrate(computed, machine(0.9, 0.45), both, {}, false);
  REQUIRE(two.refusal.empty());
  CHECK_THAT(two.physical.core_to_base_k_per_w, WithinRel(0.45, fitted));
  CHECK_THAT(two.physical.heat_share, WithinRel(0.9, fitted));
  REQUIRE(two.left_out.size() == 2);
  CHECK(two.left_out[0].before > 0.01);

  const std::vector<Unknown> depth{Unknown::depth};
  const Calibration one = calibrate(computed, machine(1.0, 0.3, 0.8), depth, {}, false);
  REQUIRE(one.refusal.empty());
  CHECK_THAT(one.physical.depth_ratio, WithinRel(0.8, fitted));
  CHECK(one.left_out[0].after < 1e-5);
}

TEST_CASE("Calibration: part of the data predicts the rest", "[comparison]") {
  const Computed computed = solved();
  const std::vector<Unknown> unknown{Unknown::core_to_base};
  const std::vector<std::string> use{"upright"};
  std::vector<MeasuredPoint> measured = machine(1.0, 0.5);
  for (MeasuredPoint& point : measured) {
    point.rise_k.value *= point.orientation == "flat-up" ? 1.3 : 1.0; // must not matter
  }
  const Calibration calibration = calibrate(computed, measured, unknown, use, false);
  REQUIRE(calibration.refusal.empty());
  CHECK(calibration.n_used == 3);
  CHECK_THAT(calibration.physical.core_to_base_k_per_w, WithinRel(0.5, fitted));
}

TEST_CASE("Calibration: the interval is Student's", "[comparison]") {
  // One unknown, base rises of zero weight in it: with R alone and data = model * exp(+-e), the
  // estimate's interval follows from the scatter; by hand for two points of one power, where
  // ln(a + b R) has the derivative b / (a + b R) at both: half = t(1) * scatter * (a + b R) / b /
  // sqrt(2), scatter = sqrt(2) e.
  const Computed computed = solved();
  const double a = 2.0 * std::pow(20.0, 0.7);
  const double e = 0.001;
  const double core = a + 20.0 * 0.5;
  const std::vector<MeasuredPoint> measured{{"on", "upright", 20.0, {core * std::exp(e), 0.1}},
                                            {"on", "upright", 20.0, {core * std::exp(-e), 0.1}}};
  const std::vector<Unknown> unknown{Unknown::core_to_base};
  const Calibration calibration = calibrate(computed, measured, unknown, {}, false);
  REQUIRE(calibration.refusal.empty());
  const CalibratedValue& estimate = calibration.estimates[0];
  CHECK_THAT(estimate.value, WithinRel(0.5, fitted));
  CHECK_THAT(estimate.high - estimate.value, WithinRel(12.706 * e * core / 20.0, 1e-4));
}

TEST_CASE("Calibration: more unknowns than the data carry are refused", "[comparison]") {
  const Computed computed = solved();
  const std::vector<MeasuredPoint> measured = machine(0.9, 0.45);
  const auto refusal = [&](const std::vector<MeasuredPoint>& points,
                           const std::vector<Unknown>& unknowns, bool is_at_base = false) {
    return calibrate(computed, points, unknowns, {}, is_at_base).refusal;
  };
  using enum Unknown;
  CHECK_THAT(refusal(measured, {core_to_base, heat_share, depth}), ContainsSubstring("3 unknowns"));
  CHECK_THAT(refusal(measured, {}), ContainsSubstring("one or two"));
  CHECK_THAT(refusal(measured, {depth, depth}), ContainsSubstring("twice"));
  const std::vector<MeasuredPoint> two(measured.begin(), measured.begin() + 2);
  CHECK_THAT(refusal(two, {core_to_base, heat_share}), ContainsSubstring("at least 3"));
  const std::vector<MeasuredPoint> one_power{measured[0], measured[1], measured[0]};
  CHECK_THAT(refusal(one_power, {core_to_base, heat_share}), ContainsSubstring("different powers"));
  CHECK_THAT(refusal(measured, {core_to_base}, true), ContainsSubstring("base was measured"));
  // At the base, share and depth act in the same way.
  CHECK_THAT(refusal(measured, {heat_share, depth}, true), ContainsSubstring("act alike"));
  // A core cooler than the computed base would need a negative resistance.
  CHECK_THAT(refusal(machine(0.5, 0.01), {core_to_base}), ContainsSubstring("no sense"));
}

} // namespace tiltfin::tests
