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

/// El at which a cooler of fixed size gives off most: its heat goes with Nu / S^2, and S with
/// El^(1/4). Golden-section search between El 10 and 300; the maximum is flat, 1 % of El is enough.
double best_elenbaas(const Case& the_case) {
  const auto heat = [&](double log_el) {
    return nusselt(the_case, std::exp(log_el)) / std::exp(0.5 * log_el);
  };
  constexpr double ratio = 0.6180339887498949;
  double low = std::log(10.0);
  double high = std::log(300.0);
  double left = high - ratio * (high - low);
  double right = low + ratio * (high - low);
  double heat_left = heat(left);
  double heat_right = heat(right);
  while (high - low > 0.01) {
    if (heat_left > heat_right) {
      high = right;
      right = left;
      heat_right = heat_left;
      left = high - ratio * (high - low);
      heat_left = heat(left);
    } else {
      low = left;
      left = right;
      heat_left = heat_right;
      right = low + ratio * (high - low);
      heat_right = heat(right);
    }
  }
  return std::exp(0.5 * (low + high));
}

} // namespace

TEST_CASE("Vertical channel: its heat follows El as published", "[validation]") {
  const Case the_case = read_case_of("vertical_channel");
  std::map<std::string, double> by_condition;
  compare("vertical_channel", [&](const std::string& quantity, const std::string& condition) {
    if (quantity == "optimum spacing") { // S (Ra_S / (S^3 L))^(1/4) = El^(1/4)
      return std::pow(best_elenbaas(the_case), 0.25);
    }
    const auto found = by_condition.find(condition);
    if (found != by_condition.end()) {
      return found->second;
    }
    const double value = nusselt(the_case, std::stod(condition.substr(3))); // "El <number>"
    by_condition[condition] = value;
    return value;
  });
}
