#include <algorithm>
#include <map>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Nu, and psi in units of the diffusivity.
std::map<std::string, double> measure(const Case& the_case, double rayleigh) {
  const Section& section = the_case.panels[0].section;
  const Solution solution = solve(the_case, section, named_orientation("upright").down,
                                  the_case.gravity * rayleigh / 1e7);
  const double warmer = section.sides[west].temperature - section.sides[east].temperature;
  const AirProperties& air = solution.problem.air;
  const TensorMesh& mesh = solution.problem.mesh;
  const auto [low, high] =
      std::minmax_element(solution.state.psi.begin(), solution.state.psi.end());
  const auto centre = static_cast<std::size_t>(mesh.node(mesh.x.n() / 2, mesh.y.n() / 2));
  const double heat = -side_heat(solution.problem, solution.state)[west];
  return {{"Nu", heat / (air.conductivity * warmer)},
          {"psi centre", std::abs(solution.state.psi[centre]) / air.diffusivity()},
          {"psi max", std::max(-*low, *high) / air.diffusivity()}};
}

} // namespace

TEST_CASE("Strong cavity: heat and streamfunction agree with the benchmark", "[validation]") {
  const Case the_case = read_case_of("strong_cavity");
  std::map<std::string, std::map<std::string, double>> by_condition;
  for (const char* condition : {"Ra 1e7", "Ra 1e8"}) {
    by_condition[condition] = measure(the_case, std::stod(std::string(condition).substr(3)));
  }
  compare("strong_cavity", [&](const std::string& quantity, const std::string& condition) {
    return by_condition.at(condition).at(quantity);
  });
}
