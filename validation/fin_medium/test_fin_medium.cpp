#include "validation/peak.hpp"
#include "validation/reference.hpp"

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

/// As in vertical_channel: the heat of a cooler of fixed size goes with Nu / S^2, S with El^(1/4).
Computed best_spacing(const Case& the_case) {
  std::vector<double> log_el;
  std::vector<double> heat;
  std::vector<double> coarse_heat;
  Computed nusselt;
  for (const double elenbaas : {40.0, 48.0, 58.0, 69.0, 83.0, 100.0, 120.0}) {
    nusselt = channel(the_case, elenbaas);
    log_el.push_back(std::log(elenbaas));
    heat.push_back(nusselt.value / std::sqrt(elenbaas));
    coarse_heat.push_back(nusselt.coarse / std::sqrt(elenbaas));
  }
  const auto spacing = [&](const std::vector<double>& f) {
    return std::exp(0.25 * peak(log_el, f).position);
  };
  return {spacing(heat), spacing(coarse_heat), nusselt.mesh};
}

} // namespace

TEST_CASE("Fin medium: its heat follows El as that of a channel does", "[validation]") {
  const Case the_case = read_case_of("fin_medium");
  std::map<std::string, Computed> by_condition;
  compare("fin_medium", [&](const std::string& quantity, const std::string& condition) {
    if (quantity == "optimum spacing") {
      return best_spacing(the_case);
    }
    if (by_condition.count(condition) == 0) {
      by_condition[condition] = channel(the_case, std::stod(condition.substr(3))); // "El "
    }
    return by_condition.at(condition);
  });
}
