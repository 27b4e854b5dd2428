#include <numbers>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

constexpr double warmer = 10.0; ///< the disc than the room [K]

/// From rest, or from a solution near by.
Solution solve_disc(const Case& the_case, double gravity, double power, const Solution* warm) {
  NestedOptions options;
  options.examine_stability = false;
  options.resolution = the_case.resolution;
  options.calm = the_case.calm;
  Solution solution = solve_nested(the_case.panels[0].sections.front(), {-gravity, 0.0, power},
                                   {the_case.air, the_case.room_temperature}, options, warm);
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
}

Quantities nusselt(const Case& the_case, const Problem& problem, const State& state, double power) {
  const Rectangle& disc = the_case.panels[0].sections.front().solids[0].extent;
  const double radius = disc.y1;
  const double surface = 2.0 * std::numbers::pi * radius * (radius + disc.width());
  const double rise = solid_temperature(problem, state, 0).mean - the_case.room_temperature;
  return {{"rise", rise},
          {"Nu", power / (surface * rise) * 2.0 * radius / problem.air.conductivity}};
}

Computed nusselt_at(const Case& the_case, double rayleigh) {
  const double gravity = the_case.gravity * rayleigh / 1e5;
  double power = the_case.powers.front();
  Solution solution = solve_disc(the_case, gravity, power, nullptr);
  const auto rise = [&] {
    return nusselt(the_case, solution.problem, solution.state, power).at("rise");
  };
  for (int step = 0; step < 8 && std::abs(rise() / warmer - 1.0) > 1e-4; ++step) {
    power *= std::pow(warmer / rise(), 1.2);
    solution = solve_disc(the_case, gravity, power, &solution);
  }
  REQUIRE(std::abs(rise() / warmer - 1.0) <= 1e-4);
  return measured(solution,
                  [&](const Problem& problem, const State& state) {
                    return nusselt(the_case, problem, state, power);
                  })
      .at("Nu");
}

} // namespace

TEST_CASE("Warm disc: both faces together give off what was measured", "[validation]") {
  const Case the_case = read_case_of("warm_disc");
  compare("warm_disc", [&](const std::string&, const std::string& condition) {
    return nusselt_at(the_case, std::stod(condition.substr(3))); // "Ra "
  });
}
