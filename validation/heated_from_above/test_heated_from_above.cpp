#include <algorithm>
#include <array>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The side on top, the one below it, and the orientation that puts it there.
struct Stand {
  SideName top;
  SideName bottom;
  const char* orientation;
};

constexpr std::array<Stand, 4> stands{{{north, south, "upright"},
                                       {south, north, "upside-down"},
                                       {east, west, "flat-up"},
                                       {west, east, "flat-down"}}};

Computed nusselt(const Case& the_case, const Stand& stand, double rayleigh) {
  Section section = the_case.panels[0].sections.front();
  const auto sides = section.sides;
  section.sides.fill(sides[west]);
  section.sides[stand.top] = sides[north];
  section.sides[stand.bottom] = sides[south];
  const Solution solution = solve(the_case, section, named_orientation(stand.orientation).down,
                                  the_case.gravity * rayleigh / 1e6);
  const double warmer = sides[north].temperature - sides[south].temperature;
  return measured(solution,
                  [&](const Problem& problem, const State& state) -> Quantities {
                    const double heat = side_heat(problem, state)[stand.bottom];
                    return {{"Nu", heat / (problem.air.conductivity * warmer)}};
                  })
      .at("Nu");
}

} // namespace

TEST_CASE("Heated from above: the air rests and conducts", "[validation]") {
  const Case the_case = read_case_of("heated_from_above");
  compare("heated_from_above", [&](const std::string&, const std::string& condition) {
    // "Ra <number> warm <side> on top"
    std::istringstream words(condition);
    std::string skipped;
    double rayleigh = 0.0;
    std::string side;
    words >> skipped >> rayleigh >> skipped >> side;
    const auto stand = std::find_if(stands.begin(), stands.end(), [&](const Stand& candidate) {
      return side == side_names[candidate.top];
    });
    REQUIRE(stand != stands.end());
    return nusselt(the_case, *stand, rayleigh);
  });
}
