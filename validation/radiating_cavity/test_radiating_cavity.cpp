#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

TEST_CASE("Radiating cavity: convection and radiation share the heat as recomputed",
          "[validation]") {
  const Case the_case = read_case_of("radiating_cavity");
  REQUIRE(the_case.air.has_value());
  std::map<std::string, std::map<std::string, Computed>> known;
  compare("radiating_cavity", [&](const std::string& quantity, const std::string& condition) {
    // "emissivity <number> Ra <number>"
    std::istringstream words(condition);
    std::string word;
    double emissivity = 0.0;
    double rayleigh = 0.0;
    words >> word >> emissivity >> word >> rayleigh;
    if (known.find(condition) == known.end()) {
      Section section = the_case.panels[0].sections.front();
      for (Side& side : section.sides) {
        side.emissivity = emissivity;
      }
      const double warmer = section.sides[west].temperature - section.sides[east].temperature;
      const double scale = the_case.air->conductivity * warmer * section.height / section.width;
      const auto shares = [&](const Problem& problem, const State& state) -> Quantities {
        const double radiated = -surface_radiation(section, problem, state).sides[west];
        const double convected = -side_heat(problem, state)[west] - radiated;
        return {{"Nu convective", convected / scale}, {"Nu radiative", radiated / scale}};
      };
      const Vector3 down = named_orientation("upright").down;
      const double gravity = the_case.gravity * rayleigh / 1e6;
      known[condition] = measured(solve(the_case, section, down, gravity), shares);
    }
    return known[condition].at(quantity);
  });
}
