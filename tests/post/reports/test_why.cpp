#include "post/reports/why.hpp"
#include "tests/catch.hpp"
#include "tests/post/network_outcome.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <sstream>

namespace tiltfin::tests {
namespace {

constexpr double exact_sum = 1e-12; ///< what was asked of exact sums, of the numbers added

/// Of the tests' limit of 60 K, with a resistance from core to base.
ReportContext why_context() {
  ReportContext context = context_of();
  context.core.core_to_base_k_per_w = 0.25;
  return context;
}

std::vector<Why> explained(const std::vector<Outcome>& outcomes) {
  return explain(outcomes, make_trends(outcomes, why_context()), why_context());
}

/// One network upright, another one flat; 40 W alone, or 10 and 40 W.
std::vector<Outcome> pair_of(const HeatNetwork& upright, const HeatNetwork& flat,
                             const std::vector<double>& powers = {40.0}) {
  std::vector<Outcome> outcomes;
  for (const double power : powers) {
    outcomes.push_back(network_outcome(upright, power, "on", "upright"));
    outcomes.push_back(network_outcome(flat, power, "on", "flat-up"));
  }
  return outcomes;
}

/// The only explanation of a pair.
Why only_why(const std::vector<Outcome>& outcomes) {
  const std::vector<Why> whys = explained(outcomes);
  REQUIRE(whys.size() == 1);
  return whys.front();
}

const CausePart& part_of(const Why& why, Cause cause) {
  const auto found = std::ranges::find(why.parts, cause, &CausePart::cause);
  REQUIRE(found != why.parts.end());
  return *found;
}

void check_sums(const Why& why) {
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

const std::vector<OneCause>& one_causes() {
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

HeatNetwork changed_by(const OneCause& one) {
  HeatNetwork network = usual_network();
  network.*one.factor = one.value;
  return network;
}

} // namespace

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

TEST_CASE("Why: compared is near the lower limit, not far above it", "[why]") {
  HeatNetwork less_flow = usual_network();
  less_flow.carrying_w_per_k = 1.5;
  const std::vector<double> powers{10.0, 40.0, 400.0};
  const std::vector<Outcome> outcomes = pair_of(usual_network(), less_flow, powers);
  const Why why = only_why(outcomes);
  // Straight lines: the limit is where the rise at 40 W, scaled, reaches it.
  const double lower = std::min(why.power_limit_w, why.than_power_limit_w);
  REQUIRE(std::abs(std::log(lower / 40.0)) < std::abs(std::log(lower / 400.0)));
  REQUIRE(std::abs(std::log(lower / 40.0)) < std::abs(std::log(lower / 10.0)));
  CHECK(why.power_w == 40.0);
  check_sums(why);
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

TEST_CASE("Why: panel states come first, each against the first of its finish", "[why]") {
  std::vector<Outcome> outcomes;
  HeatNetwork network = usual_network();
  for (const std::string finish : {"bare", "black"}) {
    for (const std::string panel : {"on", "off"}) {
      for (const char* orientation : {"upright", "flat-up"}) {
        network.carrying_w_per_k *= 0.9;
        outcomes.push_back(network_outcome(network, 40.0, panel + "-" + finish, orientation));
        outcomes.back().finish = finish;
      }
    }
  }
  std::vector<std::string> pairs;
  for (const Why& why : explained(outcomes)) {
    pairs.push_back(why.panel + " " + why.orientation + " / " + why.than_panel + " " +
                    why.than_orientation);
  }
  CHECK(pairs == std::vector<std::string>{
                     "off-bare upright / on-bare upright", "off-bare flat-up / on-bare flat-up",
                     "off-black upright / on-black upright", "off-black flat-up / on-black flat-up",
                     "on-bare flat-up / on-bare upright", "off-bare flat-up / off-bare upright",
                     "on-black flat-up / on-black upright",
                     "off-black flat-up / off-black upright"});
}

TEST_CASE("Why: the table prints paragraphs, of many pairs first sentences", "[why]") {
  std::vector<Outcome> outcomes{network_outcome(usual_network(), 40.0, "on", "upright")};
  const auto printed = [&] {
    const std::vector<TrendRow> trends = make_trends(outcomes, why_context());
    std::istringstream words(readable_table(outcomes, trends, why_context()));
    std::string text;
    for (std::string word; words >> word;) {
      text += word + " ";
    }
    return text;
  };
  CHECK_THAT(printed(), !ContainsSubstring("Why ("));
  HeatNetwork tilted = usual_network();
  for (int k = 0; k <= most_paragraphs; ++k) {
    tilted.carrying_w_per_k *= 0.85;
    tilted.feeding_rise_k = 5.0; // a second cause, so that a paragraph is longer than its sentence
    outcomes.push_back(network_outcome(tilted, 40.0, "on", "tilted-" + std::to_string(k)));
    const std::vector<Why> whys = explained(outcomes);
    const std::string text = printed();
    for (const Why& why : whys) {
      CHECK_THAT(text, ContainsSubstring(why.sentence));
      CHECK(why.paragraph.size() > why.sentence.size());
      CHECK((text.find(why.paragraph) != std::string::npos) == (k < most_paragraphs));
    }
  }
}

TEST_CASE("Why: files hold all parts, and json is read back", "[why]") {
  HeatNetwork flat = usual_network();
  flat.carrying_w_per_k = 0.6;
  std::vector<Outcome> outcomes = pair_of(usual_network(), flat, {10.0, 40.0});
  outcomes.back().base_rise_mean_k.error = 0.2;
  const std::vector<Why> whys = explained(outcomes);
  const std::string json = why_json(whys);
  const std::vector<Why> read = read_why(json);
  CHECK(why_json(read) == json);
  REQUIRE(read.size() == 1);
  CHECK(read.front().paragraph == whys.front().paragraph);
  CHECK(read.front().parts.size() == whys.front().parts.size());
  CHECK(part_of(read.front(), Cause::through_flow).rise_k.value ==
        part_of(whys.front(), Cause::through_flow).rise_k.value);
  CHECK_THROWS_AS(read_why("{}"), std::runtime_error);
  CHECK_THROWS_AS(read_why("no"), std::runtime_error);

  std::istringstream lines(why_csv(whys));
  std::string line;
  std::getline(lines, line);
  CHECK(line == "panel,orientation,finish,than_panel,than_orientation,power_w,base_rise_k,"
                "than_base_rise_k,power_limit_w,than_power_limit_w,cause,rise_k,rise_error_k,"
                "limit_w,limit_error_w,here,there,named");
  std::vector<std::string> rows;
  while (std::getline(lines, line)) {
    rows.push_back(line);
    CHECK(std::ranges::count(line, ',') == 17);
  }
  REQUIRE(rows.size() == whys.front().parts.size() + 1);
  CHECK_THAT(rows[1], ContainsSubstring(",through-flow,"));
  CHECK(rows[1].ends_with(",yes"));
  CHECK_THAT(rows.back(), ContainsSubstring(",difference,"));
  CHECK(rows.back().ends_with(",,,"));
}

} // namespace tiltfin::tests
