#include "post/reports/ends_report.hpp"

#include <numbers>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// A round body and the strip of its section: as wide, and as much surface.
struct Pair {
  Case the_case;
  Section disc;
  Section strip;
  double warmer = 0.0; ///< than the room [K]
};

Pair make_pair_of(const Case& the_case, double warmer) {
  Pair pair{the_case, the_case.panels[0].sections.front(), {}, warmer};
  pair.strip = pair.disc;
  pair.strip.axis_distance.reset();
  // Half a strip: faces as large as a disc's. Its edges are half a disc's, 0.8 % of all surface.
  pair.strip.depth = std::numbers::pi * pair.disc.solids[0].extent.y1;
  return pair;
}

/// The same with another gap between the plates, and as much room round them.
Case with_gap(Case the_case, double gap) {
  Section& section = the_case.panels[0].sections.front();
  const double thickness = section.solids[0].extent.width();
  const double first = section.solids[0].extent.x0;
  const double before = section.solids.back().extent.x1;
  for (std::size_t k = 0; k < section.solids.size(); ++k) {
    Rectangle& extent = section.solids[k].extent;
    extent.x0 = first + static_cast<double>(k) * (thickness + gap);
    extent.x1 = extent.x0 + thickness;
    if (k > 0) {
      section.links[k - 1].patch_a = section.solids[k - 1].extent;
      section.links[k - 1].patch_b = extent;
    }
  }
  const double change = section.solids.back().extent.x1 - before;
  section.width += change;
  section.machine->x1 += change;
  return the_case;
}

/// Power that makes the first solid so much warmer than the room [W].
double power_at_rise(const Pair& pair, const Section& section, double gravity) {
  NestedOptions options;
  options.examine_stability = false;
  options.resolution = pair.the_case.resolution;
  options.calm = pair.the_case.calm;
  const AirRule air{pair.the_case.air, pair.the_case.room_temperature};
  double power = pair.the_case.powers.front();
  Solution solution = solve_nested(section, {-gravity, 0.0, power}, air, options);
  const auto ratio = [&] {
    REQUIRE(solution.report.status == SolveStatus::converged);
    return (solid_temperature(solution.problem, solution.state, 0).mean -
            pair.the_case.room_temperature) /
           pair.warmer;
  };
  for (int step = 0; step < 10 && std::abs(ratio() - 1.0) > 1e-4; ++step) {
    power *= std::pow(ratio(), -1.2);
    solution = solve_nested(section, {-gravity, 0.0, power}, air, options, &solution);
  }
  REQUIRE(std::abs(ratio() - 1.0) <= 1e-4);
  return power;
}

/// The row of the folder's table, and what every row has to keep.
struct Row {
  std::string body;
  std::string source;
  double ratio = 0.0; ///< heat of the body in three dimensions over that of its one section
};

void check_against_table(const std::vector<Row>& rows) {
  const auto shown = table_rows(folder("bundle_ends") + "README.md", "");
  std::vector<std::vector<std::string>> fresh;
  for (const Row& row : rows) {
    fresh.push_back({row.body, row.source, print("%.2f", row.ratio),
                     print("%.0f %%", 100.0 * (row.ratio - 1.0)),
                     print("%.2f", std::log(2.0) / std::log(row.ratio))});
    print_row(fresh.back());
  }
  REQUIRE(shown.size() == rows.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const double ratio = rows[k].ratio;
    const std::vector<std::string>& fields = fresh[k];
    CAPTURE(fields, shown[k]);
    CHECK(shown[k].size() == fields.size());
    CHECK(shown[k][0] == fields[0]);
    CHECK(shown[k][1] == fields[1]);
    CHECK_THAT(std::stod(shown[k][2]), Catch::Matchers::WithinAbs(ratio, 0.011));
    // Both planes of a round body are the same strip: no less than one, no more than the sum.
    CHECK(ratio >= 1.0);
    CHECK(ratio <= 2.0);
  }
}

bool in_likely_range(double ratio, double allowance) {
  const double low = std::pow(2.0, 1.0 / low_rule.exponent);
  const double high = std::pow(2.0, 1.0 / high_rule.exponent);
  return ratio * (1.0 + allowance) >= low && ratio * (1.0 - allowance) <= high;
}

} // namespace

TEST_CASE("Ends of a bundle: round bodies lie between one section and twice it", "[validation]") {
  std::vector<Row> rows;
  const Pair thin = make_pair_of(read_case_of("warm_disc"), 10.0);
  const double conductivity = thin.the_case.air->conductivity;
  const double radius = thin.disc.solids[0].extent.y1;
  for (const Reference& reference : read_reference("bundle_ends")) {
    const double gravity = thin.the_case.gravity * std::stod(reference.condition.substr(3)) / 1e5;
    const double strip = power_at_rise(thin, thin.strip, gravity);
    const double disc = power_at_rise(thin, thin.disc, gravity);
    const double surface =
        2.0 * std::numbers::pi * radius * (radius + thin.disc.solids[0].extent.width());
    const double published =
        reference.value * conductivity / (2.0 * radius) * surface * thin.warmer;
    rows.push_back({"one disc, " + reference.condition, reference.source, published / strip});
    CHECK(in_likely_range(rows.back().ratio, reference.tolerance));
    rows.push_back({"one disc, " + reference.condition, "our round body", disc / strip});
    CHECK(in_likely_range(rows.back().ratio, 0.02));
  }
  const Case stack = read_case_of("bundle_ends");
  for (const double gap : {0.005, 0.0112, 0.020}) {
    const Pair pair = make_pair_of(with_gap(stack, gap), 30.0);
    const double strip = power_at_rise(pair, pair.strip, stack.gravity);
    const double disc = power_at_rise(pair, pair.disc, stack.gravity);
    rows.push_back(
        {"six discs " + print("%g mm apart", 1000.0 * gap), "our round body", disc / strip});
    CHECK(in_likely_range(rows.back().ratio, 0.02));
  }
  check_against_table(rows);
}
