#include <array>
#include <map>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

double nusselt(const Case& the_case, const Solution& solution) {
  const Section& section = the_case.panels[0].section;
  const double warmer = section.sides[south].temperature - section.sides[north].temperature;
  return -side_heat(solution.problem, solution.state)[south] * section.height /
         (section.width * solution.problem.air.conductivity * warmer);
}

} // namespace

TEST_CASE("Convection rolls: their heat follows Ra as published", "[validation]") {
  const Case the_case = read_case_of("convection_rolls");
  const Section& section = the_case.panels[0].section;
  constexpr std::array<int, 8> rayleigh{50000, 30000, 20000, 10000, 5000, 3000, 2500, 2000};
  const double per_rayleigh = the_case.gravity / 1e4;
  Solution roll =
      solve(the_case, section, tilted_orientation(5.0).down, rayleigh[0] * per_rayleigh);
  std::map<int, double> by_rayleigh;
  for (const int value : rayleigh) {
    roll = solve(the_case, section, named_orientation("upright").down, value * per_rayleigh, &roll);
    by_rayleigh[value] = nusselt(the_case, roll);
  }
  compare("convection_rolls", [&](const std::string&, const std::string& condition) {
    return by_rayleigh.at(std::stoi(condition.substr(3))); // "Ra <number>"
  });
}
