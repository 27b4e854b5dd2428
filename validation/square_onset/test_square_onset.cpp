#include "validation/reference.hpp"
#include "validation/waves.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The fastest growing wave that swings, on the finest mesh: half its cells do not hold the one
/// that matters.
Wave fastest_on_finest(const Solution& solution) {
  const std::vector<double> searched{0.1, 0.3, 0.6, 0.9}; // nothing published is at hand
  Wave best{.growth = -1e9};
  for (const Wave& wave : waves(solution.problem, solution.state, searched)) {
    if (wave.frequency > 0.05 && wave.growth > best.growth) {
      best = wave;
    }
  }
  return best;
}

} // namespace

TEST_CASE("Square cavity: its steady flow gives way where published", "[validation]") {
  const Case the_case = read_case_of("square_onset");
  const Section& section = the_case.panels[0].sections.front();
  const Vector3 down = named_orientation("upright").down;
  const Solution warm = solve(the_case, section, down, 600.0);
  const Solution below = solve(the_case, section, down, 1700.0, &warm);
  const Solution above = solve(the_case, section, down, 1900.0, &below);
  const Wave before = fastest_on_finest(below);
  const Wave after = fastest_on_finest(above);
  REQUIRE(before.growth < 0.0);
  REQUIRE(after.growth > 0.0);
  const double onset = 1.7e8 - before.growth * (1.9e8 - 1.7e8) / (after.growth - before.growth);
  INFO("growth at Ra 1.7e8 and 1.9e8: " << before.growth << ", " << after.growth);
  INFO("frequency: " << after.frequency);
  const Computed ours{onset, std::numeric_limits<double>::quiet_NaN(),
                      cells_of(above.problem.mesh)};
  compare("square_onset", [&](const std::string&, const std::string&) { return ours; });
}
