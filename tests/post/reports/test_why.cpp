#include "tests/post/reports/why_fixtures.hpp"

namespace tiltfin::tests {

TEST_CASE("Why: one cause alone is named alone, with all of both differences", "[why]") {
  for (const OneCause& one : one_causes()) {
    const Why why = only_why(pair_of(usual_network(), changed_by(one)));
    INFO(why.paragraph);
    check_sums(why);
    CHECK(why.orientation == "flat-up"); // against the better one
    CHECK(why.than_orientation == "upright");
    for (const CausePart& part : why.parts) {
      CHECK(part.is_named == (part.cause == one.cause));
    }
    // The outcomes' own digits: differences of temperatures of some tens of kelvins.
    CHECK_THAT(part_of(why, one.cause).rise_k.value, WithinRel(why.rise_k.value, 1e-9));
    // One power each: straight lines, so that all of the limit's difference is the cause's.
    CHECK_THAT(part_of(why, one.cause).limit_w.value, WithinRel(why.limit_w.value, 1e-9));
    CHECK_THAT(why.sentence, ContainsSubstring("K warmer at 40 W than upright") &&
                                 ContainsSubstring("W less limit, because ") &&
                                 ContainsSubstring(one.words));
    for (const OneCause& other : one_causes()) {
      if (other.cause != one.cause) {
        CHECK_THAT(why.paragraph, !ContainsSubstring(std::string(other.words).substr(0, 20)));
      }
    }
    CHECK_THAT(why.paragraph, !ContainsSubstring("But") && !ContainsSubstring("stands out") &&
                                  !ContainsSubstring("All else"));
  }
}

TEST_CASE("Why: buoyancy is told with the flow that goes with it", "[why]") {
  HeatNetwork less_flow = usual_network();
  less_flow.carrying_w_per_k = 1.5;
  const auto told = [&](double upright_pa, double flat_pa, const HeatNetwork& flat) {
    std::vector<Outcome> outcomes = pair_of(usual_network(), flat);
    outcomes[0].draft = {{.name = "fins", .driving_pa = {upright_pa, 0.0}, .lost_pa = {}}};
    outcomes[1].draft = {{.name = "fins", .driving_pa = {flat_pa, 0.0}, .lost_pa = {}}};
    return only_why(outcomes).paragraph;
  };
  CHECK_THAT(told(0.024, 0.003, less_flow),
             ContainsSubstring("1.49 instead of 2.49 g/s, driven between the fins by 3.0 instead "
                               "of 24.0 mPa of buoyancy"));
  // Above and below the factor; the wrong way; unknown; where the flow is no cause.
  CHECK_THAT(told(0.024, 0.0159, less_flow), ContainsSubstring("buoyancy"));
  CHECK_THAT(told(0.024, 0.0161, less_flow), !ContainsSubstring("buoyancy"));
  CHECK_THAT(told(0.003, 0.024, less_flow), !ContainsSubstring("buoyancy"));
  CHECK_THAT(told(nan, 0.003, less_flow), !ContainsSubstring("buoyancy"));
  HeatNetwork less_radiation = usual_network();
  less_radiation.radiation_w_per_k = 0.05;
  CHECK_THAT(told(0.024, 0.003, less_radiation), !ContainsSubstring("buoyancy"));
}

TEST_CASE("Why: the other way round the words turn", "[why]") {
  // Flat is the better one now: upright is told against it.
  for (const OneCause& one : one_causes()) {
    const Why why = only_why(pair_of(changed_by(one), usual_network()));
    CHECK(why.orientation == "upright");
    CHECK(why.than_orientation == "flat-up");
    CHECK_THAT(why.sentence, ContainsSubstring(one.words));
  }
  // Panel states stand against the first, whichever is better.
  for (const OneCause& one : one_causes()) {
    const Why why = only_why({network_outcome(changed_by(one), 40.0, "on", "upright"),
                              network_outcome(usual_network(), 40.0, "off", "upright")});
    INFO(why.paragraph);
    CHECK_THAT(why.sentence, ContainsSubstring("upright, off: ") &&
                                 ContainsSubstring("K cooler at 40 W than on") &&
                                 ContainsSubstring("W more limit") &&
                                 !ContainsSubstring(one.words));
    CHECK(part_of(why, one.cause).is_named);
    CHECK(part_of(why, one.cause).rise_k.value < 0.0);
    CHECK(part_of(why, one.cause).limit_w.value > 0.0);
  }
}

TEST_CASE("Why: several causes stand in the order of their worth, against it with but", "[why]") {
  HeatNetwork flat = usual_network();
  flat.carrying_w_per_k = 1.2;
  flat.feeding_rise_k = 3.0;
  flat.radiation_w_per_k = 0.6;
  flat.other_w_per_k = 0.29; // worth less than the others, and too little to be named
  const Why why = only_why(pair_of(usual_network(), flat));
  INFO(why.paragraph);
  check_sums(why);
  const std::size_t flow = why.paragraph.find("because less air goes through the cooler");
  const std::size_t radiation = why.paragraph.find("But it radiates more");
  const std::size_t feeding = why.paragraph.find("Its air comes warmer");
  const std::size_t rest = why.paragraph.find("All else together");
  REQUIRE(rest != std::string::npos);
  CHECK(flow < radiation);
  CHECK(radiation < feeding);
  CHECK(feeding < rest);
  CHECK(std::abs(part_of(why, Cause::radiation).rise_k.value) >
        std::abs(part_of(why, Cause::feeding_air).rise_k.value));
  CHECK(why.paragraph.starts_with(why.sentence));
  CHECK_THAT(why.sentence, !ContainsSubstring("radiates"));
}

TEST_CASE("Why: a cause is named above its share and above its error", "[why]") {
  const auto with_radiation = [](double radiation_w_per_k, double error_w = 0.0) {
    HeatNetwork flat = usual_network();
    flat.carrying_w_per_k = 1.0; // so that something is told at all
    flat.radiation_w_per_k = radiation_w_per_k;
    std::vector<Outcome> outcomes = pair_of(usual_network(), flat);
    for (Outcome& outcome : outcomes) {
      outcome.heat.front().radiation_w.error = error_w;
    }
    return only_why(outcomes);
  };
  // Where the part passes the share of the larger rise, in steps of a thousandth of a watt.
  bool was_named = false;
  int changes = 0;
  for (int k = 0; k <= 200; ++k) {
    const Why why = with_radiation(0.35 + 0.001 * k);
    const CausePart& part = part_of(why, Cause::radiation);
    const bool is_worth_it = std::abs(part.rise_k.value) >
                             least_named_share * std::max(why.base_rise_k, why.than_base_rise_k);
    CHECK(part.is_named == is_worth_it);
    CHECK((why.paragraph.find("radiates") != std::string::npos) == is_worth_it);
    changes += part.is_named != was_named ? 1 : 0;
    was_named = part.is_named;
  }
  CHECK(changes == 1); // both sides of the threshold were there
  // The same part with a small and with a large error.
  const Why clear = with_radiation(0.6, 0.5);
  CHECK(part_of(clear, Cause::radiation).rise_k.error > 0.0);
  CHECK(part_of(clear, Cause::radiation).is_named);
  const Why blurred = with_radiation(0.6, 8.0);
  CHECK(part_of(blurred, Cause::radiation).rise_k.error >
        std::abs(part_of(blurred, Cause::radiation).rise_k.value));
  CHECK_FALSE(part_of(blurred, Cause::radiation).is_named);
  CHECK_THAT(blurred.paragraph, !ContainsSubstring("radiates"));
}

TEST_CASE("Why: no reason stands out, with the largest part", "[why]") {
  HeatNetwork flat = usual_network();
  flat.carrying_w_per_k *= 0.98;
  flat.radiation_w_per_k *= 0.98;
  const Why why = only_why(pair_of(usual_network(), flat));
  CHECK_THAT(why.sentence, ContainsSubstring("no reason stands out (largest: less air goes "
                                             "through the cooler: 2.436 instead of 2.486 g/s"));
  CHECK(why.paragraph == why.sentence);
  // The same twice.
  CHECK(
      only_why(pair_of(usual_network(), usual_network())).paragraph ==
      "on, flat-up: at 40 W as warm as upright within the errors of the mesh (+0.0 K, +0.0 W); no "
      "reason stands out.");
  // Two that are as warm within the errors of their meshes.
  std::vector<Outcome> outcomes = pair_of(usual_network(), flat);
  for (Outcome& outcome : outcomes) {
    outcome.base_rise_mean_k.error = 1.0;
  }
  CHECK_THAT(only_why(outcomes).sentence,
             ContainsSubstring("at 40 W as warm as upright within the errors of the mesh (+"));
}

TEST_CASE("Why: the exponent and the residual complete the limits", "[why]") {
  // Networks that get better with power, flat less so: exponents below one that differ.
  std::vector<Outcome> outcomes;
  for (const double power : {10.0, 20.0, 40.0}) {
    HeatNetwork upright = usual_network();
    HeatNetwork flat = usual_network();
    upright.carrying_w_per_k *= std::pow(power / 40.0, 0.5);
    flat.carrying_w_per_k *= std::pow(power / 40.0, 0.1);
    outcomes.push_back(network_outcome(upright, power, "on", "upright"));
    outcomes.push_back(network_outcome(flat, power, "on", "flat-up"));
  }
  const Why why = only_why(outcomes);
  INFO(why.paragraph);
  check_sums(why);
  CHECK(why.power_w == 40.0); // of both the nearer to the limit, where they are equal
  CHECK_THAT(why.rise_k.value, WithinAbs(0.0, 1e-9));
  const CausePart& growth = part_of(why, Cause::growth);
  CHECK(growth.here > growth.there);
  CHECK(std::isnan(growth.rise_k.value));
  CHECK(growth.is_named);
  CHECK_THAT(why.paragraph, ContainsSubstring("ts rise grows faster with power: exponent"));
  // The fits pass the point at 40 W by a few tenths of a percent of the rise.
  const double residual = part_of(why, Cause::residual).limit_w.value;
  CHECK(std::abs(residual) > 1e-6);
  CHECK(std::abs(residual) < 0.02 * why.power_limit_w);
}

TEST_CASE("Why: the exponent makes no kelvin, however much it is worth in watts", "[why]") {
  std::vector<Outcome> outcomes;
  for (const double power : {10.0, 20.0, 40.0}) {
    HeatNetwork upright = usual_network();
    HeatNetwork flat = usual_network();
    upright.carrying_w_per_k *= std::pow(power / 40.0, 0.9);
    flat.carrying_w_per_k *= 0.75;
    outcomes.push_back(network_outcome(upright, power, "on", "upright"));
    outcomes.push_back(network_outcome(flat, power, "on", "flat-up"));
  }
  const Why why = only_why(outcomes);
  INFO(why.paragraph);
  REQUIRE(part_of(why, Cause::growth).is_named);
  CHECK(std::abs(part_of(why, Cause::growth).limit_w.value) >
        std::abs(part_of(why, Cause::through_flow).limit_w.value));
  CHECK_THAT(why.sentence,
             ContainsSubstring("because less air goes through") && !ContainsSubstring("exponent"));
  CHECK_THAT(why.paragraph, ContainsSubstring("Its rise grows faster with power: exponent"));
}

TEST_CASE("Why: a stagnant cooler, and a mean that leaves its budget open", "[why]") {
  HeatNetwork flat = usual_network();
  flat.carrying_w_per_k = 0.03;
  flat.film_k_per_w = 0.0;
  flat.past_w_per_k = 0.25;
  flat.open_share = 0.004;
  std::vector<Outcome> outcomes = pair_of(usual_network(), flat);
  outcomes[1].feeding = Feeding::stagnant;
  outcomes[1].air_into_fins_c = {nan, nan};
  outcomes[1].status = SolveStatus::time_average;
  const Why why = only_why(outcomes);
  INFO(why.paragraph);
  check_sums(why);
  CHECK_THAT(why.sentence, ContainsSubstring("because less air goes through the cooler"));
  CHECK_THAT(why.paragraph, ContainsSubstring("more heat goes to air that stands or passes by"));
  CHECK(part_of(why, Cause::feeding_air).rise_k.value == 0.0);
  CHECK(std::isnan(part_of(why, Cause::feeding_air).here));
  CHECK(part_of(why, Cause::not_closed).rise_k.value < 0.0);
  CHECK_THAT(part_of(why, Cause::not_closed).here, WithinAbs(0.4, 1e-9));
  CHECK_FALSE(part_of(why, Cause::not_closed).is_named);
}

TEST_CASE("Why: what cannot be split is told without a reason", "[why]") {
  std::vector<Outcome> outcomes = two_orientations(); // no budget of heat
  const Why why = only_why(outcomes);
  CHECK(why.parts.empty());
  // 60 K over 2.25 and over 4.25 K/W.
  CHECK(why.sentence == "panel-on, flat-up: 20.0 K warmer at 10 W than upright, 12.5 W less limit; "
                        "its heat could not be split into paths.");
  // Conditions that release different heat.
  std::vector<Outcome> unequal = pair_of(usual_network(), changed_by(one_causes().front()));
  CHECK_FALSE(only_why(unequal).parts.empty());
  unequal.back().heat[2].released_w = 41.0;
  CHECK(only_why(unequal).parts.empty());
  // No power that both were solved at, nothing to tell.
  for (Outcome& outcome : outcomes) {
    outcome.status = outcome.orientation == "upright" ? outcome.status : SolveStatus::not_converged;
  }
  CHECK(explained(outcomes).empty());
  CHECK(why_section({}).empty());
}

TEST_CASE("Why: a split that an error undoes names nothing", "[why]") {
  std::vector<Outcome> outcomes = pair_of(usual_network(), changed_by(one_causes()[1]));
  CHECK(part_of(only_why(outcomes), Cause::through_flow).is_named);
  outcomes[0].air_into_fins_c.error = 100.0; // feeding air that may be warmer than the fins
  const Why why = only_why(outcomes);
  check_sums(why);
  for (const CausePart& part : why.parts) {
    CHECK_FALSE(part.is_named);
    CHECK_FALSE(std::isfinite(part.rise_k.error));
  }
  CHECK_THAT(why.sentence, ContainsSubstring("no reason stands out (largest: less air") &&
                               ContainsSubstring(" K, its error is not known)"));
  // Of one without a coarse mesh no error is known; its parts are told as they are.
  outcomes[0].base_rise_mean_k.error = nan;
  CHECK(std::isnan(part_of(only_why(outcomes), Cause::through_flow).rise_k.error));
  CHECK(part_of(only_why(outcomes), Cause::through_flow).is_named);
  CHECK_THAT(why_csv(std::vector{why}), !ContainsSubstring("inf") && !ContainsSubstring("nan"));
  CHECK(why_json(read_why(why_json(std::vector{why}))) == why_json(std::vector{why}));
}

TEST_CASE("Why: without limits it is told in kelvins alone", "[why]") {
  HeatNetwork flat = changed_by(one_causes()[1]);
  flat.radiation_w_per_k = 0.6;
  flat.other_w_per_k = 0.29;
  std::vector<Outcome> outcomes = pair_of(usual_network(), flat, {10.0, 40.0});
  outcomes[0].status = outcomes[1].status = SolveStatus::not_converged; // what is left is no trend
  const std::vector<Why> whys = explained(outcomes);
  // Without limits the first solved is the better one.
  REQUIRE(whys.size() == 1);
  const Why& why = whys.front();
  INFO(why.paragraph);
  CHECK(why.power_w == 40.0);
  CHECK(part_of(why, Cause::through_flow).is_named);
  CHECK(std::isnan(part_of(why, Cause::through_flow).limit_w.value));
  CHECK_FALSE(part_of(why, Cause::growth).is_named);
  CHECK_THAT(why.paragraph, ContainsSubstring("K warmer at 40 W than upright, because less air") &&
                                ContainsSubstring(" K). But it radiates more") &&
                                ContainsSubstring("All else together: +") &&
                                !ContainsSubstring("limit") && !ContainsSubstring("nan"));
}

} // namespace tiltfin::tests
