#include <map>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Nu = (q / (T_wall - T_room)) S / k with the mean flux q of one plate and the whole gap S.
double nusselt(const Case& the_case, double elenbaas) {
  const Section& section = the_case.panels[0].section;
  const double gravity = the_case.gravity * elenbaas / 25.0;
  const Solution solution = solve(the_case, section, named_orientation("upright").down, gravity);
  const double warmer = section.sides[west].temperature - the_case.room_temperature;
  const double flux = -side_heat(solution.problem, solution.state)[west] / section.height;
  return flux / warmer * 2.0 * section.width / solution.problem.air.conductivity;
}

} // namespace

TEST_CASE("Vertical channel: its heat follows El as published", "[validation]") {
  const Case the_case = read_case_of("vertical_channel");
  std::map<std::string, double> by_condition;
  compare("vertical_channel", [&](const std::string&, const std::string& condition) {
    const auto found = by_condition.find(condition);
    if (found != by_condition.end()) {
      return found->second;
    }
    const double value = nusselt(the_case, std::stod(condition.substr(3))); // "El <number>"
    by_condition[condition] = value;
    return value;
  });
}
