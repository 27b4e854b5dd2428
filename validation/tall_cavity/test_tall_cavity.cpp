#include <numbers>

#include "validation/reference.hpp"
#include "validation/waves.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

double nusselt(const Problem& problem, const State& state) {
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  const double slender = problem.mesh.y.length() / problem.mesh.x.length();
  return side_heat(problem, state)[east] / (problem.air.conductivity * warmer * slender);
}

} // namespace

TEST_CASE("Tall cavity: its steady flow gives way to the published oscillation", "[validation]") {
  const Case the_case = read_case_of("tall_cavity");
  const Section& section = the_case.panels[0].sections.front();
  const Vector3 down = named_orientation("upright").down;
  const Solution below = solve(the_case, section, down, 3.0);
  const Solution above = solve(the_case, section, down, 3.4, &below);
  const std::vector<double> expected{1.84}; // 2 pi over the published period
  constexpr double same = 0.1; // waves lie 0.12 apart, meshes move them by some hundredths
  const Wave before = fastest(below, expected, same);
  const Wave after = fastest(above, expected, same);
  const std::string mesh = cells_of(above.problem.mesh);
  const double onset = 3.0e5 - before.growth * (3.4e5 - 3.0e5) / (after.growth - before.growth);
  INFO("growth extrapolated at Ra 3.0e5 and 3.4e5: " << before.growth << ", " << after.growth);
  constexpr double none = std::numeric_limits<double>::quiet_NaN();
  const Quantities coarse{{"Nu", nusselt(*above.coarse_problem, *above.coarse_state)}};
  const std::map<std::string, Computed> ours{
      {"critical Ra", {onset, none, mesh}},
      {"period", {2.0 * std::numbers::pi / after.frequency, none, mesh}},
      {"Nu", {nusselt(above.problem, above.state), coarse.at("Nu"), mesh}}};
  compare("tall_cavity",
          [&](const std::string& quantity, const std::string&) { return ours.at(quantity); });
}
