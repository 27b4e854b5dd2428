#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

Computed nusselt(const Case& the_case, double grashof, double ratio) {
  const double conductivity = the_case.air->conductivity;
  Section section = the_case.panels[0].sections.front();
  section.solids[0].conductivity_x = ratio * conductivity;
  section.solids[0].conductivity_y = ratio * conductivity;
  const Solution solution =
      solve(the_case, section, named_orientation("upright").down, the_case.gravity * grashof / 1e6);
  const double warmer = section.sides[west].temperature - section.sides[east].temperature;
  return measured(solution,
                  [&](const Problem& problem, const State& state) -> Quantities {
                    return {{"Nu", side_heat(problem, state)[east] / (conductivity * warmer)}};
                  })
      .at("Nu");
}

} // namespace

TEST_CASE("Conducting wall: the heat through wall and cavity is as published", "[validation]") {
  const Case the_case = read_case_of("conducting_wall");
  REQUIRE(the_case.air.has_value());
  std::map<std::string, Computed> solved;
  compare("conducting_wall", [&](const std::string&, const std::string& condition) {
    const auto found = solved.find(condition);
    if (found != solved.end()) {
      return found->second;
    }
    std::istringstream words(condition); // "Gr <number> Kr <number or infinity>"
    std::string skipped;
    double grashof = 0.0;
    std::string ratio;
    words >> skipped >> grashof >> skipped >> ratio;
    // A wall a million times better than air adds 2e-7 of the air's resistance.
    const Computed value = nusselt(the_case, grashof, ratio == "infinity" ? 1e6 : std::stod(ratio));
    solved[condition] = value;
    return value;
  });
}
