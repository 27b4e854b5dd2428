#include "post/numbers/heat_network.hpp"
#include "post/numbers/order_averaged.hpp"
#include "tests/catch.hpp"
#include "tests/post/network_outcome.hpp"

#include <cmath>
#include <numeric>
#include <random>

namespace tiltfin::tests {
namespace {

/// What was asked of exact sums, of the numbers that are added.
constexpr double exact = 1e-12;

/// Networks of any coolers: fed with unused air, or giving heat past the through-flow.
class RandomNetworks {
public:
  HeatNetwork next() {
    HeatNetwork network;
    network.feeding_rise_k = between(0.0, 3.0);
    network.carrying_w_per_k = between(0.05, 3.0);
    const bool is_full = between(0.0, 1.0) < 0.5;
    network.film_k_per_w = is_full ? 0.0 : between(0.3, 4.0) / network.carrying_w_per_k;
    network.past_w_per_k = is_full ? between(0.01, 0.5) : 0.0;
    network.radiation_w_per_k = between(0.0, 0.6);
    network.other_w_per_k = between(-0.02, 0.5);
    network.metal_k_per_w = between(0.0, 0.3);
    network.open_share = between(-0.02, 0.02);
    return network;
  }

private:
  double between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  std::mt19937 random_{11};
};

CoolerHeat heat_of(const HeatNetwork& network, double power_w) {
  const auto heat = cooler_heat(network_outcome(network, power_w, "on", "upright"), network_room_c);
  REQUIRE(heat);
  return *heat;
}

HeatNetwork network_of(const CoolerHeat& heat) {
  const auto network = heat_network(heat, heat.feeding_rise_k.value);
  REQUIRE(network);
  return *network;
}

} // namespace

TEST_CASE("Heat network: outcomes give it back, and it gives their rises", "[why]") {
  RandomNetworks networks;
  for (int k = 0; k < 200; ++k) {
    const HeatNetwork given = networks.next();
    const CoolerHeat heat = heat_of(given, 40.0);
    const HeatNetwork found = network_of(heat);
    // Reading differences of temperatures of some tens of kelvins loses a few digits.
    for (const auto factor : network_factors) {
      CHECK_THAT(found.*factor, WithinAbs(given.*factor, 1e-10));
    }
    CHECK_THAT(base_rise(found, 40.0), WithinRel(heat.base_rise_k.value, exact));
    CHECK(heat.released_w == 40.0);
    CHECK_THAT(heat.open_w, WithinAbs(40.0 * given.open_share, 1e-12));
  }
}

TEST_CASE("Heat network: the parts of any two add up to their difference", "[why]") {
  RandomNetworks networks;
  for (int k = 0; k < 200; ++k) {
    const CoolerHeat here = heat_of(networks.next(), 40.0);
    const CoolerHeat there = heat_of(networks.next(), 40.0);
    const auto parts = order_averaged(mixed_rises(network_of(there), network_of(here), 40.0));
    const double difference = here.base_rise_k.value - there.base_rise_k.value;
    const double size = here.base_rise_k.value + there.base_rise_k.value;
    CHECK_THAT(std::accumulate(parts.begin(), parts.end(), 0.0),
               WithinAbs(difference, exact * size));
  }
}

TEST_CASE("Heat network: one number changed alone takes all of the difference", "[why]") {
  const HeatNetwork from = usual_network();
  for (std::size_t k = 0; k < network_factors.size(); ++k) {
    HeatNetwork to = from;
    to.*network_factors[k] = 0.9 * from.*network_factors[k] - 0.01;
    const std::vector<double> parts = order_averaged(mixed_rises(from, to, 40.0));
    INFO("factor " << k);
    for (std::size_t other = 0; other < parts.size(); ++other) {
      if (other != k) {
        CHECK(parts[other] == 0.0);
      }
    }
    // The change alone, solved without the closed form; its interval ends at 1e-12 K.
    CHECK_THAT(parts[k], WithinAbs(network_temperatures(to, 40.0).base -
                                       network_temperatures(from, 40.0).base,
                                   1e-10));
    CHECK(std::abs(parts[k]) > 1e-3);
  }
}

TEST_CASE("Heat network: a stagnant cooler gives its heat past the through-flow", "[why]") {
  HeatNetwork given = usual_network();
  given.carrying_w_per_k = 0.03;
  given.film_k_per_w = 0.0;
  given.past_w_per_k = 0.25;
  Outcome outcome = network_outcome(given, 40.0, "on", "flat-up");
  outcome.feeding = Feeding::stagnant;
  outcome.air_into_fins_c = {nan, nan};
  const auto stagnant = cooler_heat(outcome, network_room_c);
  REQUIRE(stagnant);
  CHECK(std::isnan(stagnant->feeding_rise_k.value));
  const CoolerHeat fed = heat_of(usual_network(), 40.0);
  // The pair stands on the feeding air that there is, either way round; two without on the room's.
  const double feeding = fed.feeding_rise_k.value;
  CHECK(feeding_rises(*stagnant, fed) == std::array{feeding, feeding});
  CHECK(feeding_rises(fed, *stagnant) == std::array{feeding, feeding});
  CHECK(feeding_rises(*stagnant, *stagnant) == std::array{0.0, 0.0});
  for (const double rise : {feeding, 0.0}) {
    const auto network = heat_network(*stagnant, rise);
    REQUIRE(network);
    CHECK(uptake(*network) == 1.0);
    CHECK(network->past_w_per_k > 0.2);
    CHECK_THAT(base_rise(*network, 40.0), WithinRel(stagnant->base_rise_k.value, exact));
  }
  // No fresh air at all.
  CoolerHeat closed = *stagnant;
  closed.through_flow_g_per_s.value = 0.0;
  const auto network = heat_network(closed, 0.0);
  REQUIRE(network);
  CHECK(uptake(*network) == 1.0);
  CHECK_THAT(base_rise(*network, 40.0), WithinRel(closed.base_rise_k.value, exact));
}

TEST_CASE("Heat network: none where surfaces are colder than what cools them", "[why]") {
  CoolerHeat heat = heat_of(usual_network(), 40.0);
  CHECK(heat_network(heat, 1.0));
  CHECK_FALSE(heat_network(heat, heat.base_rise_k.value));
  heat.base_rise_k.value = -1.0;
  CHECK_FALSE(heat_network(heat, -5.0));
  Outcome without = network_outcome(usual_network(), 40.0, "on", "upright");
  without.metal_drop_k.value = nan;
  CHECK_FALSE(cooler_heat(without, network_room_c));
  CHECK_FALSE(cooler_heat(Outcome{}, network_room_c));
  HeatNetwork cold = usual_network();
  cold.other_w_per_k = -10.0;
  CHECK(std::isnan(base_rise(cold, 40.0)));
}

TEST_CASE("Heat network: less air takes up more per gram, and that is the flow's part", "[why]") {
  // A quarter of the air at the same resistance: 1 - exp(-1.333) = 0.7364, 1 - exp(-5.333) =
  // 0.9952.
  HeatNetwork little = usual_network();
  little.carrying_w_per_k *= 0.25;
  CHECK_THAT(uptake(usual_network()), WithinAbs(0.7364, 1e-4));
  CHECK_THAT(uptake(little), WithinAbs(0.9952, 1e-4));
  const HeatNetwork network = network_of(heat_of(little, 40.0));
  CHECK_THAT(network.film_k_per_w, WithinRel(0.3, 1e-9));
  const std::vector<double> parts =
      order_averaged(mixed_rises(network_of(heat_of(usual_network(), 40.0)), network, 40.0));
  CHECK(parts[1] > 5.0);
  CHECK_THAT(parts[2], WithinAbs(0.0, 1e-8));
}

TEST_CASE("Heat network: where there is no cooler, the source is", "[why]") {
  Outcome outcome = network_outcome(usual_network(), 40.0, "on", "upright");
  const auto with_cooler = cooler_heat(outcome, network_room_c);
  outcome.heat.erase(outcome.heat.begin(), outcome.heat.begin() + 2); // fins and base
  outcome.heat.front().convection_w = {7.0, 0.0};
  outcome.heat.front().radiation_w = {2.0, 0.0};
  const auto bare = cooler_heat(outcome, network_room_c);
  REQUIRE(with_cooler);
  REQUIRE(bare);
  CHECK(bare->convection_w.value == 7.0);
  CHECK(bare->radiation_w.value == 2.0);
  CHECK(bare->other_w.value == with_cooler->other_w.value);
}

TEST_CASE("Heat network: what other parts release is not the cooler's", "[why]") {
  Outcome outcome = network_outcome(usual_network(), 40.0, "on", "upright");
  const auto alone = cooler_heat(outcome, network_room_c);
  outcome.heat.insert(outcome.heat.begin(), group_row("other", 2.0, 1.0));
  outcome.heat.front().released_w = 3.0;
  const auto beside = cooler_heat(outcome, network_room_c);
  REQUIRE(alone);
  REQUIRE(beside);
  CHECK(beside->released_w == 40.0);
  CHECK_THAT(beside->other_w.value, WithinRel(alone->other_w.value, exact));
  // Where nothing else releases heat, theirs is all there is.
  for (HeatRow& row : outcome.heat) {
    row.released_w = row.group == "other" ? 43.0 : 0.0;
  }
  const auto only = cooler_heat(outcome, network_room_c);
  REQUIRE(only);
  CHECK(only->released_w == 43.0);
  CHECK_THAT(only->other_w.value, WithinRel(alone->other_w.value + 3.0, exact));
}

TEST_CASE("Heat network: numbers off by their errors keep the budget", "[why]") {
  CoolerHeat heat = heat_of(usual_network(), 40.0);
  CHECK(with_errors(heat).empty()); // no number has an error
  heat.base_rise_k.error = 0.5;
  heat.radiation_w.error = 0.3;
  heat.metal_drop_k.error = nan;
  const std::vector<CoolerHeat> changed = with_errors(heat);
  REQUIRE(changed.size() == 2);
  CHECK(changed[0].base_rise_k.value == heat.base_rise_k.value + 0.5);
  CHECK(changed[0].radiation_w.value == heat.radiation_w.value);
  CHECK(changed[1].radiation_w.value == heat.radiation_w.value + 0.3);
  CHECK_THAT(changed[1].convection_w.value + changed[1].radiation_w.value +
                 changed[1].other_w.value,
             WithinRel(40.0, exact));
  CHECK_THAT(changed[1].convection_w.value / changed[1].other_w.value,
             WithinRel(heat.convection_w.value / heat.other_w.value, exact));
}

} // namespace tiltfin::tests
