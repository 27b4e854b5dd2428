#include "post/numbers/error_estimate.hpp"

#include "mesh/index.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {

double temperatures_apart(const Solution& solution) {
  if (!solution.coarse_problem || !solution.coarse_state) {
    return 0.0;
  }
  const Problem& problem = solution.problem;
  const std::vector<double>& fine = solution.state.temperature;
  const State there = interpolate(*solution.coarse_problem, *solution.coarse_state, problem);
  double square = 0.0;
  double volume = 0.0;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      if (problem.mesh.is_air(i, j)) {
        const std::size_t cell = index(problem.mesh.cell(i, j));
        const double own = problem.mesh.volume(i, j);
        const double apart = fine[cell] - there.temperature[cell];
        square += own * apart * apart;
        volume += own;
      }
    }
  }
  const auto [cold, hot] = std::minmax_element(fine.begin(), fine.end());
  return *hot > *cold ? std::sqrt(square / volume) / (*hot - *cold) : 0.0;
}

MeshPair mesh_pair(const Solution& solution) {
  const bool upwinds = solution.problem.heat_peclet < solution.problem.blend_peclet;
  return {solution.coarse_ratio, upwinds ? upwind_order : assumed_order,
          temperatures_apart(solution)};
}

double discretisation_error(double fine, double coarse, const MeshPair& pair) {
  const double richardson =
      error_safety * std::abs(fine - coarse) / (std::pow(pair.ratio, pair.order) - 1.0);
  return std::isnan(richardson) ? richardson
                                : std::max(richardson, least_share * pair.apart * std::abs(fine));
}

} // namespace tiltfin
