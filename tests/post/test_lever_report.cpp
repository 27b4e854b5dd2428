#include "post/reports/lever_report.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

const CoreLimit core{
    .room_temperature_c = 25.0, .limit_temperature_c = 100.0, .core_to_base_k_per_w = 0.0};

/// 40 K at the power, 75 K at 88 W with an exponent of 0.8.
LeverPlace flat(double error_k = 3.0) {
  LeverPlace place;
  place.panel = "on";
  place.orientation = "flat-up";
  place.rise_k = {40.0, error_k};
  place.status = SolveStatus::converged;
  place.trend.n_points = 3;
  place.trend.exponent = 0.8;
  place.trend.factor = 2.0; // of a fit that misses the limit: the limit counts
  place.limit.power_w = {88.0, 2.0};
  return place;
}

LeverRow lever_with(double rise_k, double error_k, LeverKind lever = LeverKind::gap) {
  return solved_lever(flat(), core, lever, "a change", {rise_k, error_k}, SolveStatus::converged,
                      0.0);
}

LeverReport report_of(std::vector<LeverRow> rows, std::vector<LeverPlace> places = {flat()}) {
  LeverReport report;
  report.context.core = core;
  report.power_w = 40.0;
  report.places = std::move(places);
  report.rows = std::move(rows);
  rank_levers(report);
  return report;
}

LeverRow not_tried() {
  LeverRow row;
  row.panel = "on";
  row.orientation = "flat-up";
  row.lever = LeverKind::grille;
  row.change = "no grille is described";
  return row;
}

} // namespace

TEST_CASE("Lever report: limits scale with the ratio of the rises to the power -1/m", "[levers]") {
  const LeverRow row = lever_with(36.0, 0.5);
  // Without a resistance between core and base: by hand.
  CHECK_THAT(row.limit_w.value, WithinRel(88.0 * std::pow(0.9, -1.0 / 0.8), 1e-9));
  CHECK_THAT(row.gain_w.value, WithinRel(row.limit_w.value - 88.0, 1e-12));
  CHECK_THAT(row.gain_k.value, WithinRel(4.0, 1e-12));
  // With one, the scaled trend meets the core's limit.
  const CoreLimit cored{25.0, 100.0, 0.2};
  const LeverRow with = solved_lever(flat(), cored, LeverKind::gap, "a change", {36.0, 0.5},
                                     SolveStatus::converged, 0.3);
  const double factor = (75.0 - 0.2 * 88.0) / std::pow(88.0, 0.8); // through the place's limit
  const double power = with.limit_w.value;
  CHECK_THAT(0.9 * factor * std::pow(power, 0.8) + 0.3 * power, WithinRel(75.0, 1e-9));
  // No change, no gain.
  CHECK_THAT(lever_with(40.0, 0.5).gain_w.value, WithinAbs(0.0, 1e-9));
}

TEST_CASE("Lever report: errors add as squares and decide", "[levers]") {
  const LeverRow row = lever_with(30.0, 4.0); // beside 40 +- 3
  CHECK_THAT(row.gain_k.error, WithinRel(5.0, 1e-12));
  CHECK(row.verdict == LeverVerdict::helps);
  // Watts: half of what the limit moves by from one end of the bar to the other.
  const auto limit = [](double rise) { return 88.0 * std::pow(rise / 40.0, -1.0 / 0.8); };
  CHECK_THAT(row.gain_w.error, WithinRel(0.5 * (limit(25.0) - limit(35.0)), 1e-9));
  CHECK(lever_with(35.5, 4.0).verdict == LeverVerdict::undecided);
  CHECK(lever_with(44.5, 4.0).verdict == LeverVerdict::undecided);
  CHECK(lever_with(46.0, 4.0).verdict == LeverVerdict::hurts);
  CHECK(lever_with(30.0, tiltfin::nan).verdict == LeverVerdict::undecided);
  const LeverRow failed = solved_lever(flat(), core, LeverKind::gap, "a change", {30.0, 1.0},
                                       SolveStatus::not_converged, 0.0);
  CHECK(failed.verdict == LeverVerdict::no_result);
  CHECK(std::isnan(failed.gain_w.value));
}

TEST_CASE("Lever report: of another panel state both limits are known", "[levers]") {
  LeverPlace other = flat();
  other.panel = "off";
  other.limit.power_w = {98.0, 1.5};
  const LeverRow row = known_lever(flat(), LeverKind::panel, "off in place of on", other);
  CHECK(row.panel == "on");
  CHECK_THAT(row.gain_w.value, WithinRel(10.0, 1e-12));
  CHECK_THAT(row.gain_w.error, WithinRel(2.5, 1e-12));
  CHECK(row.verdict == LeverVerdict::helps);
}

TEST_CASE("Lever report: ranked by watts, the poorest place first, untried last", "[levers]") {
  LeverPlace upright = flat();
  upright.orientation = "upright";
  upright.limit.power_w = {150.0, 3.0};
  LeverRow best_upright = solved_lever(upright, core, LeverKind::size, "longer", {20.0, 0.1},
                                       SolveStatus::converged, 0.0);
  const LeverReport report = report_of({best_upright, not_tried(), lever_with(44.0, 0.5),
                                        lever_with(30.0, 0.5), lever_with(38.0, 0.5)},
                                       {upright, flat()});
  REQUIRE(report.rows.size() == 5);
  CHECK(report.places.front().orientation == "flat-up");
  CHECK(report.rows[0].rise_k.value == 30.0);
  CHECK(report.rows[1].rise_k.value == 38.0);
  CHECK(report.rows[2].rise_k.value == 44.0);
  CHECK(report.rows[3].verdict == LeverVerdict::not_tried);
  CHECK(report.rows[4].orientation == "upright");
}

TEST_CASE("Lever report: the sentence names the best, what is too close, and turning", "[levers]") {
  LeverPlace upright = flat();
  upright.orientation = "upright";
  upright.limit.power_w = {150.0, 1.5};
  const LeverRow turning =
      known_lever(flat(), LeverKind::orientation, "upright in place of flat-up", upright);
  const LeverReport report = report_of(
      {lever_with(38.0, 0.5, LeverKind::gap), lever_with(30.0, 1.0, LeverKind::finish), turning});
  const std::string sentence = lever_sentence(report);
  CHECK_THAT(sentence, ContainsSubstring("What helps most: on, flat-up, finish (a change): +") &&
                           ContainsSubstring("times its error") &&
                           ContainsSubstring("upright in place of flat-up, brings more: +62.0"));
  CHECK_THAT(sentence, !ContainsSubstring("too close"));
  const LeverReport close =
      report_of({lever_with(31.0, 1.0, LeverKind::gap), lever_with(30.0, 1.0, LeverKind::finish)});
  CHECK_THAT(lever_sentence(close), ContainsSubstring("too close to call against gap"));
  const LeverReport none = report_of({lever_with(39.0, 1.0), lever_with(46.0, 1.0)});
  CHECK_THAT(lever_sentence(none), ContainsSubstring("no change helps by more than its error"));
}

TEST_CASE("Lever report: table and files show every row, and why others are not there",
          "[levers]") {
  const LeverReport report =
      report_of({lever_with(30.0, 1.0), lever_with(39.5, 1.0), lever_with(50.0, 1.0), not_tried()});
  const std::string table = lever_table(report);
  CHECK_THAT(table, ContainsSubstring("helps      a change") &&
                        ContainsSubstring("undecided  a change") &&
                        ContainsSubstring("hurts      a change") &&
                        ContainsSubstring("grille: no grille is described") &&
                        ContainsSubstring("Measure"));
  const std::string csv = lever_csv(report);
  CHECK(std::count(csv.begin(), csv.end(), '\n') == 5);
  CHECK_THAT(csv, ContainsSubstring("panel,orientation,power_w,lever,change,verdict,gain_w") &&
                      ContainsSubstring("no grille is described,not tried,,,"));
  CHECK_THAT(lever_json(report),
             ContainsSubstring("\"sentence\"") && ContainsSubstring("\"verdict\": \"undecided\""));
  CHECK_THAT(lever_chart(report), ContainsSubstring("gap: a change"));
}

TEST_CASE("Lever report: outside the model nothing helps", "[levers][model_range]") {
  const auto judged = [](Standing as_it_is, Standing changed, double limit_w) {
    LeverPlace place = flat();
    place.standing = as_it_is;
    LeverRow row = lever_with(36.0, 0.5);
    REQUIRE(row.verdict != LeverVerdict::no_result);
    row.limit_w.value = limit_w;
    judge_lever(place, changed, 40.0, row); // solved at 40 W
    return row;
  };
  CHECK(judged(Standing::sound, Standing::sound, 99.0).standing == Standing::sound);
  CHECK(judged(Standing::sound, Standing::doubtful, 99.0).standing == Standing::doubtful);
  for (const LeverRow& row : {judged(Standing::outside, Standing::sound, 99.0),
                              judged(Standing::sound, Standing::outside, 99.0),
                              judged(Standing::sound, Standing::sound, 1e9)}) {
    CHECK(row.standing == Standing::outside);
    CHECK(row.verdict == LeverVerdict::no_result);
    CHECK_THAT(lever_csv(report_of({row})), ContainsSubstring(",outside the model,"));
    CHECK_THAT(lever_table(report_of({row})), ContainsSubstring("a change, outside the model"));
  }
}
