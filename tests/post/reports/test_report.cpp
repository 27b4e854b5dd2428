#include "post/reports/report.hpp"
#include "post/reports/summary.hpp"
#include "tests/catch.hpp"
#include "tests/post/reports/fixtures.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <sstream>

namespace tiltfin::tests {
namespace {

/// Cells of one line of CSV; understands quotes.
std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells{""};
  bool is_quoted = false;
  for (std::size_t k = 0; k < line.size(); ++k) {
    if (line[k] == '"') {
      if (is_quoted && k + 1 < line.size() && line[k + 1] == '"') {
        cells.back() += line[k++];
      } else {
        is_quoted = !is_quoted;
      }
    } else if (line[k] == ',' && !is_quoted) {
      cells.emplace_back();
    } else {
      cells.back() += line[k];
    }
  }
  return cells;
}

std::vector<std::vector<std::string>> rows_of(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream lines(csv);
  for (std::string line; std::getline(lines, line);) {
    rows.push_back(cells_of(line));
  }
  return rows;
}

std::string cell(const std::vector<std::vector<std::string>>& rows, std::size_t row,
                 const std::string& column) {
  const auto found = std::find(rows[0].begin(), rows[0].end(), column);
  REQUIRE(found != rows[0].end());
  return rows[row][static_cast<std::size_t>(found - rows[0].begin())];
}

} // namespace

TEST_CASE("Report: an outcome comes back from its text", "[report]") {
  Outcome outcome = outcome_of("panel-\"on\"\n", "tilt-30", 12.5, 1.0 / 3.0);
  outcome.base_rise_mean_k.error = std::nan("");
  outcome.stability.state = Stability::unstable;
  outcome.stability.growth_per_s = 0.25;
  outcome.stability.period_s = std::nan("");
  outcome.steps = 17;
  outcome.gaps = {{.name = "a | b",
                   .net_flow_kg_per_s = {1.25e-7, 1e-9},
                   .recirculation = 0.5,
                   .mean_temperature_c = std::nan("")}};
  outcome.openings = {{.name = "slot",
                       .in_kg_per_s = {0.1, 0.01},
                       .out_kg_per_s = {0.2, 0.02},
                       .in_temperature_c = 30.0,
                       .out_temperature_c = 40.0}};
  outcome.finish = "painted";
  outcome.radiated_share = 0.375;
  outcome.solids = {{"base", 7.5, 2.25}};
  outcome.sides = {{"west", -1.5, -0.5}};
  outcome.links = {{"column", 2.5}};
  outcome.warnings = {"first", "second: 3 °C"};

  const Outcome back = outcome_from_json(outcome_to_json(outcome));
  CHECK(back.panel == outcome.panel);
  CHECK(back.orientation == "tilt-30");
  CHECK(back.power_w == 12.5);
  CHECK(back.base_rise_mean_k.value == outcome.base_rise_mean_k.value); // all bits
  CHECK(std::isnan(back.base_rise_mean_k.error));
  CHECK(back.stability.state == Stability::unstable);
  CHECK(back.stability.growth_per_s == 0.25);
  CHECK(std::isnan(back.stability.period_s));
  CHECK(back.steps == 17);
  REQUIRE(back.gaps.size() == 1);
  CHECK(back.gaps[0].name == "a | b");
  CHECK(back.gaps[0].net_flow_kg_per_s.value == 1.25e-7);
  CHECK(back.gaps[0].net_flow_kg_per_s.error == 1e-9);
  CHECK(std::isnan(back.gaps[0].mean_temperature_c));
  REQUIRE(back.openings.size() == 1);
  CHECK(back.openings[0].out_kg_per_s.error == 0.02);
  CHECK(back.openings[0].out_temperature_c == 40.0);
  REQUIRE(back.solids.size() == 1);
  CHECK(back.finish == "painted");
  CHECK(back.radiated_share == 0.375);
  CHECK(back.solids[0].heat_w == 7.5);
  CHECK(back.solids[0].radiation_w == 2.25);
  REQUIRE(back.sides.size() == 1);
  CHECK(back.sides[0].name == "west");
  CHECK(back.sides[0].radiation_w == -0.5);
  REQUIRE(back.links.size() == 1);
  CHECK(back.links[0].heat_w == 2.5);
  CHECK(back.warnings == outcome.warnings);
  CHECK(outcome_to_json(back) == outcome_to_json(outcome));
}

TEST_CASE("Report: NaN is null in JSON", "[report]") {
  Outcome outcome = outcome_of("panel-on", "upright", 10.0, 20.0);
  outcome.rayleigh_gap = std::nan("");
  CHECK_THAT(outcome_to_json(outcome), ContainsSubstring("\"rayleigh_gap\": null"));
}

TEST_CASE("Report: a text that is no outcome is refused", "[report]") {
  for (const char* text : {"", "{", "[]", "{\"panel\": 3}", "{\"panel\": \"a\"}"}) {
    CHECK_THROWS_AS(outcome_from_json(text), std::runtime_error);
  }
  std::string halved = outcome_to_json(outcome_of("panel-on", "upright", 10.0, 20.0));
  halved.resize(halved.size() / 2);
  CHECK_THROWS_AS(outcome_from_json(halved), std::runtime_error);
}

TEST_CASE("Report: a word that no status has is refused, and the key and the words are named",
          "[report]") {
  const std::string text = outcome_to_json(outcome_of("panel-on", "upright", 10.0, 20.0));
  const auto with = [&](const std::string& from, const std::string& to) {
    std::string changed = text;
    REQUIRE(changed.find(from) != std::string::npos);
    return changed.replace(changed.find(from), from.size(), to);
  };
  CHECK_THROWS_WITH(outcome_from_json(with("\"converged\"", "\"done\"")),
                    ContainsSubstring("key 'status': found 'done', allowed converged, time "
                                      "average, not converged, stopped"));
  CHECK_THROWS_WITH(outcome_from_json(with("\"not examined\"", "\"good\"")),
                    ContainsSubstring("key 'stability': found 'good', allowed not examined, "
                                      "skipped, not yet examined, stable, sways, unstable"));
  CHECK_THROWS_WITH(outcome_from_json(with("\"second_flow\": \"\"", "\"second_flow\": \"no\"")),
                    ContainsSubstring("key 'second_flow': found 'no'"));
  CHECK_THROWS_WITH(outcome_from_json(with("\"cells\": 1200", "\"cells\": 1200.5")),
                    ContainsSubstring("key 'cells': found a number, allowed a whole number"));
}

TEST_CASE("Report: every status, stability and search comes back from its word", "[report]") {
  Outcome outcome = outcome_of("panel-on", "upright", 10.0, 20.0);
  using enum SolveStatus;
  for (const SolveStatus status : {converged, time_average, not_converged, stopped}) {
    outcome.status = status;
    outcome.second.status = status;
    CHECK(outcome_from_json(outcome_to_json(outcome)).status == status);
    CHECK(outcome_from_json(outcome_to_json(outcome)).second.status == status);
  }
  using enum Stability;
  for (const Stability stability : {not_examined, skipped, awaited, stable, sways, unstable}) {
    outcome.stability.state = stability;
    CHECK(outcome_from_json(outcome_to_json(outcome)).stability.state == stability);
  }
  using enum SecondSearch;
  for (const SecondSearch search : {not_made, none_found, found}) {
    outcome.second.search = search;
    CHECK(outcome_from_json(outcome_to_json(outcome)).second.search == search);
  }
  outcome.second = {};
  CHECK_FALSE(outcome_from_json(outcome_to_json(outcome)).second.status.has_value());
}

TEST_CASE("Report: every row of the summary has the columns of its head", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  outcomes[0].solids = {{"base, left", 3.0, 1.0}};
  outcomes[1].gaps = {{.name = "a | b",
                       .net_flow_kg_per_s = {0.25, 0.01},
                       .recirculation = 0.5,
                       .mean_temperature_c = 40.0}};
  outcomes[1].base_rise_mean_k.error = std::nan("");
  outcomes[2].warnings = {"one", "two \"quoted\""};

  const auto rows = rows_of(summary_csv(outcomes));
  REQUIRE(rows.size() == 1 + outcomes.size());
  for (const auto& row : rows) {
    CHECK(row.size() == rows[0].size());
  }
  CHECK(cell(rows, 1, "panel") == "panel-on");
  CHECK(cell(rows, 1, "base_rise_mean_k") == "40");
  CHECK(cell(rows, 1, "solid base, left heat_w") == "3");
  CHECK(cell(rows, 1, "solid base, left radiation_w") == "1");
  CHECK(cell(rows, 2, "solid base, left heat_w").empty());
  CHECK(cell(rows, 2, "gap a | b net_flow_kg_per_s") == "0.25");
  CHECK(cell(rows, 2, "gap a | b net_flow_error_kg_per_s") == "0.01");
  CHECK(cell(rows, 2, "gap a | b recirculation") == "0.5");
  CHECK(cell(rows, 2, "gap a | b mean_temperature_c") == "40");
  CHECK(cell(rows, 2, "rise_error_k").empty());
  CHECK(cell(rows, 3, "warnings") == "one; two \"quoted\"");
}

TEST_CASE("Report: heat and air of a condition stand in table, csv and json", "[report]") {
  std::vector<Outcome> outcomes{outcome_of("panel-on", "upright", 20.0, 4.0)};
  HeatRow fins;
  fins.account = HeatAccount::groups;
  fins.part = "fin";
  fins.group = "fin";
  fins.convection_w = {12.0, 0.5};
  fins.radiation_w = {3.0, 0.25};
  fins.heat_w = {15.0, 0.75};
  fins.share_percent = {75.0, 3.75};
  HeatRow source;
  source.account = HeatAccount::groups;
  source.part = "source";
  source.released_w = 20.0;
  outcomes[0].heat = {fins, source};
  outcomes[0].feeding = Feeding::stagnant;
  outcomes[0].through_flow_g_per_s = {0.015, 0.01};
  // 12 and 3 of the 20 W released.
  CHECK_THAT(readable_table(outcomes, {}, context_of()), ContainsSubstring("60 + 15"));
  CHECK_THAT(readable_table(outcomes, {}, context_of()),
             ContainsSubstring("0.01 ±0.01") && ContainsSubstring("stagnant"));
  std::vector<Outcome> warmed = outcomes; // by radiation, which it gives to the air
  warmed[0].heat[0].convection_w.value = 0.4;
  warmed[0].heat[0].radiation_w.value = -0.4;
  CHECK_THAT(readable_table(warmed, {}, context_of()), ContainsSubstring("2 - 2"));
  warmed[0].heat[0].convection_w.value = -0.01;
  CHECK_THAT(readable_table(warmed, {}, context_of()), !ContainsSubstring("-0"));
  const auto rows = rows_of(heat_csv(outcomes));
  REQUIRE(rows.size() == 3);
  CHECK(rows[1].size() == rows[0].size());
  CHECK(cell(rows, 1, "orientation") == "upright");
  CHECK(cell(rows, 1, "account") == "groups");
  CHECK(cell(rows, 1, "convection_error_w") == "0.5");
  CHECK(cell(rows, 1, "share_percent") == "75");
  CHECK(cell(rows, 2, "released_w") == "20");
  const Outcome read = outcome_from_json(outcome_to_json(outcomes[0]));
  REQUIRE(read.heat.size() == 2);
  CHECK(read.heat[0].account == HeatAccount::groups);
  CHECK(read.heat[0].radiation_w.error == 0.25);
}

TEST_CASE("Report: trends come best first, with limit and error", "[report]") {
  const std::vector<Outcome> outcomes = two_orientations();
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  REQUIRE(trends.size() == 2);
  CHECK(trends[0].orientation == "upright");
  // 60 K over 2 and over 4 K/W; bisection is asked for 1e-10.
  CHECK_THAT(trends[0].limit.power_w.value, WithinRel(30.0, 1e-10));
  CHECK(trends[0].limit.extrapolated);
  CHECK_THAT(trends[1].limit.power_w.value, WithinRel(15.0, 1e-10));
  CHECK_FALSE(trends[1].limit.extrapolated);
  // A rise known to 1 % on a straight line is a power known to 1 %.
  CHECK_THAT(trends[1].limit.power_w.error, WithinRel(0.15, 1e-9));

  const auto rows = rows_of(trend_csv(trends));
  REQUIRE(rows.size() == 3);
  CHECK(rows[1].size() == rows[0].size());
  CHECK(cell(rows, 1, "power_limit_extrapolated") == "yes");
  CHECK(cell(rows, 2, "power_limit_w") == "15");
}

TEST_CASE("Report: the metal's heat capacity times resistance is its time constant", "[report]") {
  ReportContext context = context_of();
  const std::vector<Outcome> outcomes = two_orientations(); // 2 K/W upright, first in the trends
  CHECK(std::isnan(make_trends(outcomes, context)[0].time_constant_s.value));
  context.metal_capacity_j_per_k = 450.0; // half a kilogram of aluminium
  const std::vector<TrendRow> trends = make_trends(outcomes, context);
  CHECK_THAT(trends[0].time_constant_s.value, WithinRel(900.0, rounding));
  // exp(-t / 900 s) = 0.01.
  CHECK_THAT(std::exp(-trends[0].settling_time_s.value / 900.0), WithinRel(0.01, rounding));
  CHECK_THAT(trends[1].time_constant_s.value, WithinRel(1800.0, rounding));
}

TEST_CASE("Report: a condition that did not converge carries no trend", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  outcomes.push_back(outcome_of("panel-on", "upright", 40.0, 1.0));
  outcomes.back().status = SolveStatus::not_converged;
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  CHECK_THAT(trends[0].limit.power_w.value, WithinRel(30.0, 1e-10));
  CHECK(trends[0].trend.n_points == 2);
  CHECK(trends[0].limit.status == SolveStatus::not_converged);
  CHECK(trends[1].limit.status == SolveStatus::converged);
}

TEST_CASE("Report: one point left of several powers is no trend", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  outcomes[2].status = SolveStatus::not_converged; // flat-up, 20 W
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  REQUIRE(trends[1].orientation == "flat-up");
  CHECK(trends[1].trend.n_points == 0);
  CHECK(std::isnan(trends[1].limit.power_w.value));
}

TEST_CASE("Report: without any converged condition the trend is empty", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  for (Outcome& outcome : outcomes) {
    if (outcome.orientation == "upright") {
      outcome.status = SolveStatus::not_converged;
    }
  }
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  CHECK(trends[0].orientation == "flat-up"); // a row without a limit comes last
  const auto rows = rows_of(trend_csv(trends));
  CHECK(cell(rows, 2, "power_limit_w").empty());
  CHECK(cell(rows, 2, "exponent").empty());
  CHECK(cell(rows, 2, "status") == "not converged");
}

TEST_CASE("Report: conditions without a base have no trend", "[report]") {
  std::vector<Outcome> outcomes{outcome_of("cavity", "upright", 1.0, std::nan(""))};
  const std::vector<TrendRow> trends = make_trends(outcomes, context_of());
  CHECK(trends.empty());
  CHECK_THAT(readable_table(outcomes, trends, context_of()),
             ContainsSubstring("Worst balance of all 1 conditions"));
}

TEST_CASE("Report: a mean over time and a steady state that air may leave are marked", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  outcomes[0].stability.state = Stability::stable;
  const auto table = [&] {
    return readable_table(outcomes, make_trends(outcomes, context_of()), context_of());
  };
  CHECK(table().find("air leaves it") == std::string::npos);
  CHECK(table().find("may leave it") == std::string::npos);
  outcomes[0].stability.state = Stability::unstable;
  CHECK_THAT(table(), ContainsSubstring("40.0 ±0.4?") && ContainsSubstring("may leave it"));
  outcomes[0].status = SolveStatus::time_average;
  CHECK_THAT(table(), ContainsSubstring("40.0 ±0.4~") && ContainsSubstring("air leaves it"));
}

TEST_CASE("Report: the summary holds conditions, trends and the case", "[report]") {
  const std::vector<Outcome> outcomes = two_orientations();
  const std::string json =
      summary_json(outcomes, make_trends(outcomes, context_of()), context_of());
  for (const char* part : {"\"title\": \"A case of the tests\"", "\"limit_temperature_c\": 85.0",
                           "\"conditions\": [", "\"trends\": [", "\"power_limit_w\": "}) {
    CHECK_THAT(json, ContainsSubstring(part));
  }
}

TEST_CASE("Report: a summary is read, another text is refused", "[report]") {
  const Computed computed = read_summary(R"({"title": "t", "room_temperature_c": 20,
    "limit_temperature_c": 90, "die_to_base_k_per_w": 0.2, "conditions": [
    {"panel": "on", "orientation": "upright", "power_w": 10, "status": "converged",
     "base_rise_mean_k": 8.5, "rise_error_k": null},
    {"panel": "on", "orientation": "upright", "power_w": 20, "status": "not converged",
     "base_rise_mean_k": 15, "rise_error_k": 0.1}]})");
  REQUIRE(computed.points.size() == 1);
  CHECK(computed.points[0].base_rise_k.value == 8.5);
  CHECK(std::isnan(computed.points[0].base_rise_k.error));
  CHECK(computed.core.core_to_base_k_per_w == 0.2); // of an earlier file
  CHECK_THROWS_AS(read_summary("{}"), std::runtime_error);
  CHECK_THROWS_AS(read_summary("nonsense"), std::runtime_error);
}

TEST_CASE("Report: all conditions of a summary come back with their case", "[report]") {
  const std::vector<Outcome> outcomes = two_orientations();
  ReportContext context = context_of();
  context.notes = {"one", "two"};
  const std::string text = summary_json(outcomes, make_trends(outcomes, context), context);
  const SolvedResults solved = read_solved(text);
  CHECK(summary_json(solved.outcomes, make_trends(solved.outcomes, solved.context),
                     solved.context) == text);
  CHECK_THROWS_AS(read_solved("{}"), std::runtime_error);
}

TEST_CASE("Report: a summary that was written is read again", "[report]") {
  std::vector<Outcome> outcomes = two_orientations();
  outcomes[3].status = SolveStatus::stopped;
  ReportContext context = context_of();
  context.core.core_to_base_k_per_w = 0.5;
  const std::string text = summary_json(outcomes, make_trends(outcomes, context), context);
  CHECK_THAT(text, ContainsSubstring("\"core_to_base_k_per_w\": 0.5"));
  const Computed computed = read_summary(text);
  CHECK(computed.title == context.title);
  CHECK(computed.core.limit_temperature_c == 85.0);
  CHECK(computed.core.core_to_base_k_per_w == 0.5);
  REQUIRE(computed.points.size() == 3);
  CHECK(computed.points[2].orientation == "flat-up");
  CHECK(computed.points[2].power_w == 20.0);
  CHECK(computed.points[2].base_rise_k.value == 80.0);
  CHECK(computed.points[2].base_rise_k.error == 0.8);
}

} // namespace tiltfin::tests
