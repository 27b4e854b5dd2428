#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

TEST_CASE("Conducting block: it changes the cavity's heat as published", "[validation]") {
  const Case the_case = read_case_of("conducting_block");
  REQUIRE(the_case.air.has_value());
  const double conductivity = the_case.air->conductivity;
  compare("conducting_block", [&](const std::string&, const std::string& condition) {
    const double ratio = std::stod(condition.substr(3)); // "k* <number>"
    Section section = the_case.panels[0].sections.front();
    section.solids[0].conductivity_x = ratio * conductivity;
    section.solids[0].conductivity_y = ratio * conductivity;
    const double warmer = section.sides[west].temperature - section.sides[east].temperature;
    const auto nusselt = [&](const Problem& problem, const State& state) -> Quantities {
      return {{"Nu", -side_heat(problem, state)[west] / (conductivity * warmer)}};
    };
    const Vector3 down = named_orientation("upright").down;
    return measured(solve(the_case, section, down, the_case.gravity), nusselt).at("Nu");
  });
}
