// Coarse meshes first: the long way from rest is walked where steps are cheap.
#include "solver/carry.hpp"
#include "solver/nest.hpp"
#include "solver/way.hpp"

#include <chrono>
#include <utility>

namespace tiltfin {

namespace {

/// Level 1 resolves the flow well enough for the start-up to choose among coexisting flows; a
/// quarter of the cells does not.
void solve_from_rest(Nest& nest, const Start* start) {
  nest.film = start == nullptr ? nest.film : start->film_temperature;
  make_level(nest, 1);
  Level& coarse = nest.level(1);
  coarse.state = start == nullptr ? rest_state(coarse.problem, nest.air.room_temperature)
                                  : interpolate(start->problem, start->state, coarse.problem);
  converge(nest, 1, true);
  while (!nest.converged() && !nest.stopped() && upwind_more(nest, 1)) {
    converge(nest, 1, true);
  }
  if (!nest.converged() && !nest.stopped()) {
    average(nest, 1);
  }
  if (!nest.stopped()) {
    finish(nest, nullptr);
  }
}

/// The coarse mesh shows what changes from a neighbour; where it does not converge from there, the
/// condition starts from rest.
void solve_from_neighbour(Nest& nest, const Solution& warm) {
  nest.film = warm.film_temperature;
  make_level(nest, 1, warm.coarse_problem->radiation);
  Level& coarse = nest.level(1);
  coarse.state = scaled(*warm.coarse_problem, *warm.coarse_state, coarse.problem);
  converge(nest, 1, false);
  if (nest.converged()) {
    finish(nest, &warm);
  } else if (!nest.stopped()) {
    solve_from_rest(nest, nullptr);
    nest.report.left_start = true;
  }
}

/// Both meshes as a solution has them.
void resume_at(Nest& nest, const Solution& steady) {
  nest.film = steady.film_temperature;
  nest.heat_peclet = steady.problem.heat_peclet;
  nest.coarse_ratio = steady.coarse_ratio;
  if (steady.coarse_problem && steady.coarse_state) {
    make_level(nest, 1, steady.coarse_problem->radiation);
    nest.level(1).state = *steady.coarse_state;
    nest.level(1).reached = Reached::steady;
  }
  make_level(nest, 0, steady.problem.radiation);
  nest.level(0).state = steady.state;
  converge(nest, 0, false);
  if (nest.converged()) {
    settle(nest);
  }
}

/// A mean on this nest's meshes.
void go_on_from(Nest& nest, const Solution& mean) {
  nest.film = mean.film_temperature;
  nest.heat_peclet = mean.problem.heat_peclet;
  make_level(nest, 1);
  make_level(nest, 0);
  nest.level(0).state = interpolate(mean.problem, mean.state, nest.level(0).problem);
  nest.report = mean.report;
  nest.report.factorisations = 0;
  follow(nest);
}

Solution take_solution(Nest& nest) {
  Solution solution;
  const bool only_coarse = nest.level(0).state.temperature.empty(); // stopped before
  Level& finest = nest.level(only_coarse ? 1 : 0);
  solution.problem = std::move(finest.problem);
  solution.state = std::move(finest.state);
  if (!only_coarse && nest.level(1).reached != Reached::nothing) {
    solution.coarse_problem = std::move(nest.level(1).problem);
    solution.coarse_state = std::move(nest.level(1).state);
    solution.coarse_ratio = nest.coarse_ratio;
  }
  solution.film_temperature = nest.film;
  solution.report = nest.report;
  return solution;
}

/// True when a solution stands on the two meshes that a condition begins on.
bool has_meshes_of(const Solution& solution, const Section& section, const Resolution& resolution) {
  const auto fits = [&](const TensorMesh& mesh, int level) {
    const TensorMesh wanted = make_mesh(section, resolution, level);
    return mesh.x.n() == wanted.x.n() && mesh.y.n() == wanted.y.n();
  };
  return solution.coarse_problem && fits(solution.problem.mesh, 0) &&
         fits(solution.coarse_problem->mesh, 1);
}

template <class Solve>
Solution timed(Nest nest, const Solve& solve) {
  const auto begin = std::chrono::steady_clock::now();
  solve(nest);
  Solution solution = take_solution(nest);
  const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
  solution.report.seconds = elapsed.count();
  return solution;
}

} // namespace

Solution solve_nested(const Section& section, const Condition& condition, const AirRule& air,
                      const NestedOptions& options, const Solution* warm) {
  const bool near = warm != nullptr && warm->report.status == SolveStatus::converged &&
                    has_meshes_of(*warm, section, options.resolution);
  return timed(make_nest(section, condition, air, options), [&](Nest& nest) {
    near ? solve_from_neighbour(nest, *warm) : solve_from_rest(nest, nullptr);
  });
}

Solution solve_nested_from(const Section& section, const Condition& condition, const AirRule& air,
                           const NestedOptions& options, const Start& start) {
  return timed(make_nest(section, condition, air, options),
               [&](Nest& nest) { solve_from_rest(nest, &start); });
}

Solution examine_nested(const Section& section, const Condition& condition, const AirRule& air,
                        const NestedOptions& options, const Solution& steady) {
  return timed(make_nest(section, condition, air, options),
               [&](Nest& nest) { resume_at(nest, steady); });
}

Solution follow_nested(const Section& section, const Condition& condition, const AirRule& air,
                       const NestedOptions& options, const Solution& mean) {
  return timed(make_nest(section, condition, air, options),
               [&](Nest& nest) { go_on_from(nest, mean); });
}

} // namespace tiltfin
