#include "validation/channel.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Nu = (q / (T_fin - T_room)) S / k with the mean flux q from the fins' surfaces.
Computed channel(const Case& the_case, double elenbaas) {
  Section section = the_case.panels[0].sections.front();
  FinMedium& fins = section.media[0];
  const double shrink = elenbaas < 1.0 ? 0.1 : 1.0; // short of axial conduction where flow is slow
  fins.gap *= shrink;
  fins.fin_thickness *= shrink;
  const double gravity = the_case.gravity * elenbaas / 25.0 / std::pow(shrink, 4.0);
  const double warmer = section.sides[west].temperature - the_case.room_temperature;
  return measured(solve(the_case, section, named_orientation("upright").down, gravity),
                  [&](const Problem& problem, const State& state) -> Quantities {
                    double wetted = 0.0;
                    for (const MediumCell& cell : problem.media) {
                      wetted += cell.wetted;
                    }
                    const double flux = -side_heat(problem, state)[west] / wetted;
                    return {{"Nu", flux / warmer * fins.gap / problem.air.conductivity}};
                  })
      .at("Nu");
}

} // namespace

TEST_CASE("Fin medium: its heat follows El as that of a channel does", "[validation]") {
  const Case the_case = read_case_of("fin_medium");
  compare_channel("fin_medium", [&](double elenbaas) { return channel(the_case, elenbaas); });
}
