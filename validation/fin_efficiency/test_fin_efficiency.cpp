#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

TEST_CASE("Fin efficiency: a straight fin gives off tanh(mL)/(mL)", "[validation]") {
  const Case the_case = read_case_of("fin_efficiency");
  compare("fin_efficiency", [&](const std::string&, const std::string& condition) {
    const double ml = std::stod(condition.substr(3)); // "mL <number>"
    Section section = the_case.panels[0].sections.front();
    const double film = section.sides[south].film * ml * ml;
    section.sides[south].film = film;
    section.sides[north].film = film;
    const double warmer = section.sides[west].temperature - section.sides[north].temperature;
    const double isothermal = 2.0 * film * section.width * warmer;
    const auto efficiency = [&](const Problem& problem, const State& state) -> Quantities {
      return {{"fin efficiency", -side_heat(problem, state)[west] / isothermal}};
    };
    const Vector3 down = named_orientation("upright").down;
    return measured(solve(the_case, section, down, the_case.gravity), efficiency)
        .at("fin efficiency");
  });
}
