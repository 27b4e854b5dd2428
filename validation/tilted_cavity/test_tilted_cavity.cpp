#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

Quantities nusselt(const Problem& problem, const State& state) {
  const double warmer = problem.sides[west].temperature - problem.sides[east].temperature;
  return {{"Nu", -side_heat(problem, state)[west] / (problem.air.conductivity * warmer)}};
}

/// Nu by phi in degrees, each angle from its neighbour, from phi = 90 by steps of `step_deg`.
void follow(const Case& the_case, int step_deg, std::map<int, Computed>& by_phi) {
  const Section& section = the_case.panels[0].sections.front();
  Solution last;
  for (int phi = 90; phi >= 0 && phi <= 180; phi += step_deg) {
    const Vector3 down = tilted_orientation(90.0 - phi).down;
    last = solve(the_case, section, down, the_case.gravity, phi == 90 ? nullptr : &last);
    by_phi[phi] = measured(last, nusselt).at("Nu");
  }
}

} // namespace

TEST_CASE("Tilted cavity: its heat follows the angle as recomputed", "[validation]") {
  const Case the_case = read_case_of("tilted_cavity");
  std::map<int, Computed> by_phi;
  follow(the_case, -15, by_phi);
  follow(the_case, 15, by_phi);
  compare("tilted_cavity", [&](const std::string&, const std::string& condition) {
    std::istringstream words(condition); // "phi <number> deg"
    std::string skipped;
    int phi = 0;
    words >> skipped >> phi;
    return by_phi.at(phi);
  });
}
