#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

TEST_CASE("Open cavity: the heat of the wall that faces the mouth is as published",
          "[validation]") {
  const Case the_case = read_case_of("open_cavity");
  const Section& section = the_case.panels[0].sections.front();
  const auto nusselt = [&](const Problem& problem, const State& state) -> Quantities {
    const double warmer = section.sides[west].temperature - the_case.room_temperature;
    return {{"Nu", -side_heat(problem, state)[west] / (problem.air.conductivity * warmer)}};
  };
  compare("open_cavity", [&](const std::string&, const std::string& condition) {
    const double gravity = the_case.gravity * std::stod(condition.substr(3)) / 1e6; // "Ra <number>"
    return measured(solve(the_case, section, named_orientation("upright").down, gravity), nusselt)
        .at("Nu");
  });
}
