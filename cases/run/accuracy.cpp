#include "cases/run/accuracy.hpp"

#include "post/fits/estimate.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr double cost_exponent = 1.2;  // seconds over cells, measured (solver/MEASURED.md)
constexpr double finest_ratio = 0.5;   // of cell widths, of one refinement
constexpr double coarsest_ratio = 0.8; // a smaller change is not worth a solve
constexpr double aimed_share = 0.9;    // of the wish: estimates scatter
constexpr int max_refinements = 6;

/// Estimated relative error of the mean base rise; NaN when there is none.
double relative_error(const Section& section, const Solution& solution, double room_temperature) {
  if (section.base < 0 || !solution.coarse_problem || !solution.coarse_state) {
    return nan;
  }
  const double fine = solid_temperature(solution.problem, solution.state, section.base).mean;
  const double coarse =
      solid_temperature(*solution.coarse_problem, *solution.coarse_state, section.base).mean;
  return discretisation_error(fine, coarse, mesh_pair(solution)) /
         std::abs(fine - room_temperature);
}

/// The flow of `solution` as a start on other meshes.
Solution carried_over(const Section& section, const Condition& condition,
                      const NestedOptions& options, const Solution& solution) {
  Solution start;
  start.report.status = SolveStatus::converged;
  start.film_temperature = solution.film_temperature;
  const auto on_level = [&](int level) {
    return make_problem(section, make_mesh(section, options.resolution, level), condition,
                        solution.problem.air, options.calm);
  };
  start.problem = on_level(0);
  start.state = interpolate(solution.problem, solution.state, start.problem);
  start.coarse_problem = on_level(1);
  start.coarse_state = interpolate(solution.problem, solution.state, *start.coarse_problem);
  return start;
}

/// What it would take, in the words of the table.
std::string cost(const AccuracyWish& wish, const Solution& solution, double error) {
  const double more_cells = std::pow(error / wish.relative, 2.0 / assumed_order);
  const double cells = more_cells * solution.problem.mesh.n_cells();
  const double seconds = solution.report.seconds * std::pow(more_cells, cost_exponent);
  return fmt::format("estimated error of the rise {:.2g} %, wished {:g} %: that would take about "
                     "{:.2g} thousand cells and {:.2g} s a condition, {} cells are allowed",
                     100.0 * error, 100.0 * wish.relative, cells / 1000.0, seconds, wish.max_cells);
}

} // namespace

double parse_percent(const std::string& text) {
  const std::string message =
      fmt::format("found {}, allowed a percentage above 0 and at most 100, such as 1%", text);
  std::size_t end = 0;
  double value = 0.0;
  try {
    value = std::stod(text, &end);
  } catch (const std::exception&) {
    throw std::invalid_argument(message);
  }
  std::string rest = text.substr(end);
  rest.erase(std::remove(rest.begin(), rest.end(), ' '), rest.end());
  if (!(value > 0.0 && value <= 100.0) || (!rest.empty() && rest != "%")) {
    throw std::invalid_argument(message);
  }
  return value / 100.0;
}

Refinement refine_to(const AccuracyWish& wish, const Section& section, const Condition& condition,
                     const AirRule& air, const NestedOptions& options, Solution first) {
  Refinement result{std::move(first), ""};
  NestedOptions finer = options;
  for (int k = 0; k < max_refinements; ++k) {
    const double error = relative_error(section, result.solution, air.room_temperature);
    if (error <= wish.relative) {
      return result;
    }
    if (result.solution.report.status != SolveStatus::converged || !std::isfinite(error)) {
      result.verdict = "no error estimate to refine by: the wished accuracy is not examined";
      return result;
    }
    const double wanted = std::pow(aimed_share * wish.relative / error, 1.0 / assumed_order);
    const double ratio = std::clamp(wanted, finest_ratio, coarsest_ratio);
    finer.resolution = with_cells_scaled(section, finer.resolution, ratio);
    if (make_mesh(section, finer.resolution).n_cells() > wish.max_cells) {
      result.verdict = cost(wish, result.solution, error);
      return result;
    }
    const Solution start = carried_over(section, condition, finer, result.solution);
    Solution solution = solve_nested(section, condition, air, finer, &start);
    if (solution.report.status != SolveStatus::converged) {
      result.verdict =
          fmt::format("wished accuracy not reached: no steady state on {} cells ({})",
                      make_mesh(section, finer.resolution).n_cells(), name(solution.report.status));
      return result;
    }
    solution.report.factorisations += result.solution.report.factorisations;
    solution.report.seconds += result.solution.report.seconds;
    result.solution = std::move(solution);
  }
  result.verdict = fmt::format("wished accuracy not reached after {} refinements", max_refinements);
  return result;
}

} // namespace tiltfin
