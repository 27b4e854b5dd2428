#pragma once
// Pairs of made-up networks and their explanation.

#include "post/reports/why.hpp"
#include "tests/catch.hpp"
#include "tests/post/network_outcome.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

namespace tiltfin::tests {

inline constexpr double exact_sum = 1e-12; ///< what was asked of exact sums, of the numbers added

/// Of the tests' limit of 60 K, with a resistance from core to base.
inline ReportContext why_context() {
  ReportContext context = context_of();
  context.core.core_to_base_k_per_w = 0.25;
  return context;
}

inline std::vector<Why> explained(const std::vector<Outcome>& outcomes) {
  return explain(outcomes, make_trends(outcomes, why_context()), why_context());
}

/// One network upright, another one flat; 40 W alone, or 10 and 40 W.
inline std::vector<Outcome> pair_of(const HeatNetwork& upright, const HeatNetwork& flat,
                                    const std::vector<double>& powers = {40.0}) {
  std::vector<Outcome> outcomes;
  for (const double power : powers) {
    outcomes.push_back(network_outcome(upright, power, "on", "upright"));
    outcomes.push_back(network_outcome(flat, power, "on", "flat-up"));
  }
  return outcomes;
}

/// The only explanation of a pair.
inline Why only_why(const std::vector<Outcome>& outcomes) {
  const std::vector<Why> whys = explained(outcomes);
  REQUIRE(whys.size() == 1);
  return whys.front();
}

inline const CausePart& part_of(const Why& why, Cause cause) {
  const auto found = std::ranges::find(why.parts, cause, &CausePart::cause);
  REQUIRE(found != why.parts.end());
  return *found;
}

inline void check_sums(const Why& why) {
  double rise = 0.0;
  double limit = 0.0;
  for (const CausePart& part : why.parts) {
    rise += std::isfinite(part.rise_k.value) ? part.rise_k.value : 0.0;
    limit += part.limit_w.value;
  }
  CHECK_THAT(rise, WithinAbs(why.base_rise_k - why.than_base_rise_k,
                             exact_sum * (why.base_rise_k + why.than_base_rise_k)));
  CHECK_THAT(limit, WithinAbs(why.power_limit_w - why.than_power_limit_w,
                              exact_sum * (why.power_limit_w + why.than_power_limit_w)));
}

/// A change of one number that makes flat worse, and the words it must lead to.
struct OneCause {
  Cause cause;
  double HeatNetwork::*factor;
  double value;
  const char* words;
};

inline const std::vector<OneCause>& one_causes() {
  static const std::vector<OneCause> causes{
      {Cause::feeding_air, &HeatNetwork::feeding_rise_k, 4.0,
       "its air comes warmer: 29.0 instead of 26.0 °C"},
      {Cause::through_flow, &HeatNetwork::carrying_w_per_k, 1.5,
       "less air goes through the cooler: 1.49 instead of 2.49 g/s"},
      {Cause::transfer, &HeatNetwork::film_k_per_w, 0.8,
       "heat passes worse from the surfaces to that air: 0.80 instead of 0.30 K/W between them"},
      {Cause::radiation, &HeatNetwork::radiation_w_per_k, 0.05,
       "it radiates less: 0.050 instead of 0.350 W/K"},
      {Cause::other_paths, &HeatNetwork::other_w_per_k, 0.1,
       "less leaves by other paths (board): 0.10 instead of 0.30 W/K"},
      {Cause::metal, &HeatNetwork::metal_k_per_w, 0.1,
       "its metal conducts worse: 0.100 instead of 0.020 K/W from base to surfaces"},
      {Cause::not_closed, &HeatNetwork::open_share, -0.1,
       "less of the heat stays open in the mean over time"}};
  return causes;
}

inline HeatNetwork changed_by(const OneCause& one) {
  HeatNetwork network = usual_network();
  network.*one.factor = one.value;
  return network;
}

} // namespace tiltfin::tests
