#include "cases/run/accuracy.hpp"

#include "cases/input/number_text.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"
#include "solver/start.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

constexpr double cost_exponent = 1.2;     // seconds over cells, measured (solver/MEASURED.md)
constexpr double finest_ratio = 0.5;      // of cell widths, of one refinement
constexpr double coarsest_ratio = 0.8;    // a smaller change is not worth a solve
constexpr double aimed_share = 0.9;       // of the wish: estimates scatter
constexpr double blind_ratio = 2.0 / 3.0; // where there is no estimate to choose by
constexpr int max_refinements = 6;

/// Estimated errors of the mean base rise over that rise; NaN where there is none.
struct RelativeErrors {
  double mesh = 0.0;
  double sampling = 0.0; ///< of a mean over time

  [[nodiscard]] double sum() const { return mesh + sampling; }
};

RelativeErrors relative_errors(const Section& section, const Solution& solution,
                               double room_temperature) {
  if (section.base < 0) {
    return {nan, nan};
  }
  const auto base = [&](const Problem& problem, const State& state) {
    return solid_temperature(problem, state, section.base).mean;
  };
  const double rise = base(solution.problem, solution.state) - room_temperature;
  const bool has_partner = solution.coarse_problem && solution.coarse_state;
  const double coarse =
      has_partner ? base(*solution.coarse_problem, *solution.coarse_state) - room_temperature : nan;
  return {discretisation_error(rise, coarse, mesh_pair(solution)) / std::abs(rise),
          solution.report.sampling / std::abs(rise)};
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

/// The condition on finer meshes, from what is known of it.
Solution solve_finer(const Section& section, const Condition& condition, const AirRule& air,
                     const NestedOptions& finer, const Solution& known) {
  if (known.report.status == SolveStatus::time_average) {
    return follow_nested(section, condition, air, finer, known);
  }
  const Solution start = carried_over(section, condition, finer, known);
  return solve_nested(section, condition, air, finer, &start);
}

bool is_result(const Solution& solution) {
  return solution.report.status == SolveStatus::converged ||
         solution.report.status == SolveStatus::time_average;
}

/// The mesh of before is the partner of one that found none, where both hold the same flow.
void take_partner(const Solution& known, Solution& finer) {
  const State there = interpolate(known.problem, known.state, finer.problem);
  if (finer.coarse_problem || known.report.status != finer.report.status ||
      known.problem.heat_peclet != finer.problem.heat_peclet ||
      relative_difference(finer.problem, finer.state, there) > alike) {
    return;
  }
  finer.coarse_problem = known.problem;
  finer.coarse_state = known.state;
  finer.coarse_ratio =
      std::sqrt(static_cast<double>(finer.problem.mesh.n_cells()) / known.problem.mesh.n_cells());
}

std::string in_percent(double share) {
  return fmt::format("{:.2g} %", 100.0 * share);
}

/// What it would take, in the words of the table.
std::string cost(const AccuracyWish& wish, const Solution& solution, double error, double ratio) {
  const double more_cells = std::isfinite(error)
                                ? std::pow(error / wish.relative, 2.0 / assumed_order)
                                : 1.0 / (ratio * ratio);
  const double cells = more_cells * solution.problem.mesh.n_cells();
  const double seconds = solution.report.seconds * std::pow(more_cells, cost_exponent);
  const std::string known = std::isfinite(error)
                                ? fmt::format("estimated error of the rise {}", in_percent(error))
                                : "no other mesh holds this flow";
  return fmt::format("{}, wished {:g} %: that would take about {:.2g} thousand cells and {:.2g} s "
                     "a condition, {} cells are allowed",
                     known, 100.0 * wish.relative, cells / 1000.0, seconds, wish.max_cells);
}

/// Ratio of cell widths that brings the error of the mesh within what sampling leaves of the wish;
/// without an estimate a mesh that will give one.
double next_ratio(const AccuracyWish& wish, const RelativeErrors& errors) {
  if (!std::isfinite(errors.mesh)) {
    return blind_ratio;
  }
  const double left = aimed_share * wish.relative - errors.sampling;
  const double wanted = left > 0.0 ? std::pow(left / errors.mesh, 1.0 / assumed_order) : 0.0;
  return std::clamp(wanted, finest_ratio, coarsest_ratio);
}

} // namespace

double parse_percent(const std::string& text) {
  const std::string message =
      fmt::format("found {}, allowed a percentage from 0.000001 to 100, such as 1%", text);
  std::string digits = text;
  if (digits.ends_with('%')) {
    digits.pop_back();
  }
  digits.erase(digits.find_last_not_of(' ') + 1);
  const std::optional<double> value = number_of_text(digits);
  // Below a millionth of a percent rounding is larger than what is asked for.
  if (!value || *value < 1e-6 || *value > 100.0) {
    throw std::invalid_argument(message);
  }
  return *value / 100.0;
}

Refinement refine_to(const AccuracyWish& wish, const Section& section, const Condition& condition,
                     const AirRule& air, const NestedOptions& options, Solution first) {
  Refinement result{std::move(first), ""};
  NestedOptions finer = options;
  for (int k = 0; k < max_refinements; ++k) {
    const RelativeErrors errors = relative_errors(section, result.solution, air.room_temperature);
    if (errors.sum() <= wish.relative) {
      return result;
    }
    if (section.base < 0 || !is_result(result.solution)) {
      result.verdict = "not solved, or no base: the wished accuracy is not examined";
      return result;
    }
    if (errors.sampling > wish.relative) {
      result.verdict = fmt::format("wished accuracy not reached: the flow fluctuates, and its mean "
                                   "is uncertain by {} whatever the mesh",
                                   in_percent(errors.sampling));
      return result;
    }
    const double ratio = next_ratio(wish, errors);
    finer.resolution = with_cells_scaled(section, finer.resolution, ratio);
    const int cells = make_mesh(section, finer.resolution).n_cells();
    if (cells > wish.max_cells) {
      result.verdict = cost(wish, result.solution, errors.sum(), ratio);
      return result;
    }
    Solution solution = solve_finer(section, condition, air, finer, result.solution);
    if (solution.report.status == SolveStatus::stopped) {
      result.solution = std::move(solution);
      return result;
    }
    if (!is_result(solution)) {
      result.verdict = fmt::format("wished accuracy not reached: nothing found on {} cells ({})",
                                   cells, name(solution.report.status));
      return result;
    }
    take_partner(result.solution, solution);
    solution.report.factorisations += result.solution.report.factorisations;
    solution.report.seconds += result.solution.report.seconds;
    result.solution = std::move(solution);
  }
  result.verdict = fmt::format("wished accuracy not reached after {} refinements", max_refinements);
  return result;
}

} // namespace tiltfin
