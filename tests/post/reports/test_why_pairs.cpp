#include "tests/post/reports/why_fixtures.hpp"

namespace tiltfin::tests {

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
