#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

TEST_CASE("Fin efficiency: a straight fin gives off tanh(mL)/(mL)", "[validation]") {
  const Case the_case = read_case_of("fin_efficiency");
  compare("fin_efficiency", [&](const std::string&, const std::string& condition) {
    const double ml = std::stod(condition.substr(3)); // "mL <number>"
    Section section = the_case.panels[0].section;
    const double film = section.sides[south].film * ml * ml;
    section.sides[south].film = film;
    section.sides[north].film = film;
    const Solution solution =
        solve(the_case, section, named_orientation("upright").down, the_case.gravity);
    const double warmer = section.sides[west].temperature - section.sides[north].temperature;
    const double isothermal = 2.0 * film * section.width * warmer;
    return -side_heat(solution.problem, solution.state)[west] / isothermal;
  });
}
