#include "solver/stability.hpp"

#include <algorithm>
#include <numbers>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Of a mode, in units of the free-fall rate.
struct Wave {
  double growth = 0.0;
  double frequency = 0.0;
};

double free_fall_rate(const Problem& problem) {
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  return std::sqrt(-problem.gravity_y * problem.air.expansion * warmer / problem.mesh.x.length());
}

std::vector<Wave> waves(const Problem& problem, const State& state) {
  constexpr double expected = 1.84; // 2 pi over the published period
  const double rate = free_fall_rate(problem);
  StabilityOptions options;
  options.frequencies = {expected * rate / time_scale_rate(problem, state)};
  std::vector<Wave> found;
  for (const Mode& mode : leading_modes(problem, state, options)) {
    found.push_back({mode.growth / rate, mode.frequency / rate});
  }
  return found;
}

/// The fastest growing wave, extrapolated from the two meshes with second order.
Wave fastest(const Solution& solution) {
  constexpr double same = 0.1; // waves lie 0.12 apart, meshes move them by some hundredths
  const std::vector<Wave> fine = waves(solution.problem, solution.state);
  const std::vector<Wave> coarse = waves(*solution.coarse_problem, *solution.coarse_state);
  REQUIRE_FALSE(fine.empty());
  REQUIRE_FALSE(coarse.empty());
  Wave best{.growth = -1e9};
  for (const Wave& wave : fine) {
    const auto partner =
        std::min_element(coarse.begin(), coarse.end(), [&wave](const Wave& a, const Wave& b) {
          return std::abs(a.frequency - wave.frequency) < std::abs(b.frequency - wave.frequency);
        });
    if (std::abs(partner->frequency - wave.frequency) > same) {
      continue;
    }
    const double growth = wave.growth + (wave.growth - partner->growth) / 3.0;
    const double frequency = wave.frequency + (wave.frequency - partner->frequency) / 3.0;
    if (growth > best.growth) {
      best = {growth, frequency};
    }
  }
  return best;
}

double nusselt(const Problem& problem, const State& state) {
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  const double slender = problem.mesh.y.length() / problem.mesh.x.length();
  return side_heat(problem, state)[east] / (problem.air.conductivity * warmer * slender);
}

} // namespace

TEST_CASE("Tall cavity: its steady flow gives way to the published oscillation", "[validation]") {
  const Case the_case = read_case_of("tall_cavity");
  const Section& section = the_case.panels[0].section;
  const Vector3 down = named_orientation("upright").down;
  const Solution below = solve(the_case, section, down, 3.0);
  const Solution above = solve(the_case, section, down, 3.4, &below);
  const Wave before = fastest(below);
  const Wave after = fastest(above);
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
