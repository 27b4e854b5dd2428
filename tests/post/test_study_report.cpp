// What a study says of its variants, of rows made up so that the answer is known.

#include "post/reports/study_report.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

StudyRow row(int variant, const std::vector<std::string>& values, double mass, double limit,
             const std::string& orientation = "upright") {
  StudyRow made{variant, values, mass, "on", orientation, {}};
  made.limit.power_w = {limit, 0.5};
  made.limit.status = SolveStatus::converged;
  return made;
}

/// Gap doubles the limit from 3 to 6 mm, height adds half from 20 to 30 mm; 6 and 30 is missing.
StudyReport made_up() {
  StudyReport report;
  report.title = "made up";
  report.keys = {"gap", "height"};
  report.is_full = true;
  report.n_variants = 4;
  report.rows = {row(0, {"3", "20"}, 0.30, 10.0), row(1, {"3", "30"}, 0.45, 15.0),
                 row(2, {"6", "20"}, 0.20, 20.0), row(3, {"6", "30"}, 0.30, 30.0)};
  return report;
}

} // namespace

TEST_CASE("Study report: what a key is worth is told of combinations that differ in it alone",
          "[study]") {
  StudyReport report = made_up();
  const std::vector<KeyEffect> whole = key_effects(report);
  REQUIRE(whole.size() == 4);
  CHECK(whole[0].key == "gap");
  CHECK(whole[0].value == "3");
  CHECK_THAT(whole[0].mean_limit_w, WithinRel(std::sqrt(10.0 * 15.0), 1e-12));
  CHECK_THAT(whole[1].mean_limit_w / whole[0].mean_limit_w, WithinRel(2.0, 1e-12));
  CHECK_THAT(whole[3].mean_limit_w / whole[2].mean_limit_w, WithinRel(1.5, 1e-12));
  CHECK(whole[1].best_limit_w == 30.0);
  // One combination has no sound limit: its partners leave the means, too.
  report.rows[3].limit.status = SolveStatus::not_converged;
  const std::vector<KeyEffect> part = key_effects(report);
  CHECK(part[0].n == 1);
  CHECK_THAT(part[0].mean_limit_w, WithinRel(10.0, 1e-12));
  CHECK_THAT(part[1].mean_limit_w, WithinRel(20.0, 1e-12));
  report.is_full = false; // rows: nothing but the key need not be equal
  CHECK(key_effects(report).empty());
}

TEST_CASE("Study report: joined is what no other beats in both metal and limit", "[study]") {
  StudyReport report = made_up();
  report.rows.push_back(row(4, {"9", "20"}, 0.10, 5.0));
  report.rows.push_back(row(5, {"9", "30"}, 0.05, 40.0, "flat-up")); // of another orientation
  report.rows.push_back(row(6, {"1", "30"}, 0.01, 90.0));
  report.rows.back().limit.standing = Standing::outside;
  CHECK(best_for_metal(report, "on", "upright") == std::vector<std::size_t>{4, 2, 3});
  CHECK(best_for_metal(report, "on", "flat-up") == std::vector<std::size_t>{5});
}

TEST_CASE("Study report: the best of every orientation, and what is too close to call", "[study]") {
  StudyReport report = made_up();
  report.rows[1].limit.power_w = {29.5, 0.5};
  report.n_variants = 5;
  report.n_missing = 1;
  const std::string table = study_table(report);
  CHECK_THAT(table, ContainsSubstring("4 of 5 variants solved") && ContainsSubstring("30.0 ±0.5") &&
                        ContainsSubstring("gap 6, height 30; 1 more within the error bars") &&
                        ContainsSubstring("What each key is worth"));
  report.keys[0] = "limit.temperature_c";
  CHECK_THAT(study_table(report), ContainsSubstring("Room and limit as each variant has them"));
  report.keys[0] = "gap";
  CHECK_THAT(study_csv(report),
             ContainsSubstring("variant,gap,height,mass_kg,panel,orientation,") &&
                 ContainsSubstring("000003,6,30,0.3,on,upright,30,"));
  CHECK_THAT(study_chart(report), ContainsSubstring("metal of the cooler, kg"));
  for (StudyRow& bare : report.rows) {
    bare.mass_kg = tiltfin::nan;
  }
  CHECK(study_chart(report).empty());
}

TEST_CASE("Study report: the chart of very many variants stays small and loses no place",
          "[study]") {
  StudyReport report = made_up();
  report.rows.clear();
  for (int k = 0; k < 20000; ++k) { // on 500 places, which lie apart
    report.rows.push_back(row(k, {"3", "20"}, 0.1 + 0.01 * (k % 25), 10.0 + k / 25 % 20));
  }
  const std::string many = study_chart(report);
  report.rows.resize(500);
  const std::string few = study_chart(report);
  const auto n_marks = [](const std::string& svg) {
    int n = 0;
    for (std::size_t at = svg.find("<circle"); at != std::string::npos;
         at = svg.find("<circle", at + 1)) {
      ++n;
    }
    return n;
  };
  CHECK(n_marks(few) >= 500);
  CHECK(n_marks(many) == n_marks(few));
}
