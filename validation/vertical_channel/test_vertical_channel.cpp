#include "validation/channel.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Nu = (q / (T_wall - T_room)) S / k with the mean flux q of one plate and the whole gap S.
Computed channel(const Case& the_case, double elenbaas) {
  const Section& section = the_case.panels[0].sections.front();
  const double gravity = the_case.gravity * elenbaas / 25.0;
  const double warmer = section.sides[west].temperature - the_case.room_temperature;
  return measured(solve(the_case, section, named_orientation("upright").down, gravity),
                  [&](const Problem& problem, const State& state) -> Quantities {
                    const double flux = -side_heat(problem, state)[west] / section.height;
                    return {{"Nu", flux / warmer * 2.0 * section.width / problem.air.conductivity}};
                  })
      .at("Nu");
}

} // namespace

TEST_CASE("Vertical channel: its heat follows El as published", "[validation]") {
  const Case the_case = read_case_of("vertical_channel");
  compare_channel("vertical_channel", [&](double elenbaas) { return channel(the_case, elenbaas); });
}
