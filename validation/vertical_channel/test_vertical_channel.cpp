#include "validation/peak.hpp"
#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Nu = (q / (T_wall - T_room)) S / k with the mean flux q of one plate and the whole gap S.
std::map<std::string, Computed> channel(const Case& the_case, double elenbaas) {
  const Section& section = the_case.panels[0].sections.front();
  const double gravity = the_case.gravity * elenbaas / 25.0;
  const double warmer = section.sides[west].temperature - the_case.room_temperature;
  return measured(solve(the_case, section, named_orientation("upright").down, gravity),
                  [&](const Problem& problem, const State& state) -> Quantities {
                    const double flux = -side_heat(problem, state)[west] / section.height;
                    return {{"Nu", flux / warmer * 2.0 * section.width / problem.air.conductivity}};
                  });
}

/// The spacing S (Ra_S / (S^3 L))^(1/4) = El^(1/4) at which a cooler of fixed size gives off most:
/// its heat goes with Nu / S^2, and S with El^(1/4).
Computed best_spacing(const Case& the_case) {
  std::vector<double> log_el;
  std::vector<double> heat;
  std::vector<double> coarse_heat;
  Computed nusselt;
  for (const double elenbaas : {40.0, 48.0, 58.0, 69.0, 83.0, 100.0, 120.0}) {
    nusselt = channel(the_case, elenbaas).at("Nu");
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

TEST_CASE("Vertical channel: its heat follows El as published", "[validation]") {
  const Case the_case = read_case_of("vertical_channel");
  std::map<std::string, Computed> by_condition;
  compare("vertical_channel", [&](const std::string& quantity, const std::string& condition) {
    if (quantity == "optimum spacing") {
      return best_spacing(the_case);
    }
    if (by_condition.count(condition) == 0) {
      by_condition[condition] = channel(the_case, std::stod(condition.substr(3))).at("Nu"); // "El "
    }
    return by_condition.at(condition);
  });
}
