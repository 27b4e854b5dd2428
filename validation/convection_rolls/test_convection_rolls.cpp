#include <array>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

Quantities nusselt(const Problem& problem, const State& state) {
  const double warmer = problem.sides[south].temperature - problem.sides[north].temperature;
  return {{"Nu", -side_heat(problem, state)[south] * problem.mesh.y.length() /
                     (problem.mesh.x.length() * problem.air.conductivity * warmer)}};
}

} // namespace

TEST_CASE("Convection rolls: their heat follows Ra as published", "[validation]") {
  const Case the_case = read_case_of("convection_rolls");
  const Section& section = the_case.panels[0].sections.front();
  constexpr std::array<int, 8> rayleigh{50000, 30000, 20000, 10000, 5000, 3000, 2500, 2000};
  const double per_rayleigh = the_case.gravity / 1e4;
  Solution roll =
      solve(the_case, section, tilted_orientation(5.0).down, rayleigh[0] * per_rayleigh);
  std::map<int, Computed> by_rayleigh;
  for (const int value : rayleigh) {
    roll = solve(the_case, section, named_orientation("upright").down, value * per_rayleigh, &roll);
    by_rayleigh[value] = measured(roll, nusselt).at("Nu");
  }
  compare("convection_rolls", [&](const std::string&, const std::string& condition) {
    return by_rayleigh.at(std::stoi(condition.substr(3))); // "Ra <number>"
  });
}
