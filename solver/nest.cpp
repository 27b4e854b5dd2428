#include "solver/nest.hpp"

#include "mesh/index.hpp"
#include "solver/bounds.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <utility>

namespace tiltfin {

namespace {

constexpr double film_tolerance = 0.02; // K: changes air's properties by less than 1e-4
constexpr int max_film_updates = 6;
constexpr double average_film_tolerance = 1.0; // K: properties to 0.3 %, below the fluctuation
constexpr int max_average_updates = 2;
constexpr int max_warm_steps = 40;    // from a good start a steady flow needs five to thirty
constexpr int max_calm_steps = 12;    // of Newton's method from a mean that hardly sways
constexpr int max_patient_steps = 40; // in pseudo-time, from a mean that no bench sees swaying
constexpr double nearly_calm = 0.02;  // fluctuation over rise below which Newton is tried
constexpr double calm_share = 2e-4;   // and below which there is nothing that a bench could see
constexpr double lowest_heat_peclet = 1.25; // upwinding beyond that is the error it should mend
constexpr double smallest_rise = 1e-6;      // K: against division by zero
constexpr double shortest_step = 0.02;      // of a march in true time, times the flow's rate
constexpr double longest_step = 0.5;

/// Damping of the room's disturbances, over the flow's rate, that leaves the machine's alone.
constexpr double machine_alone = 1.0;
constexpr int modes_without_damping = 4; // asked for round one with
constexpr double one_mode = 0.5;         // distance over the flow's rate of the two

bool has_calm_room(const Problem& problem) {
  return std::ranges::any_of(problem.calm_cell, [](double factor) { return factor > 1.0; });
}

/// The mode without damping that is nearest to one with it; none where no mode is near.
std::optional<Mode> without_damping(const Level& level, double rate, const Mode& mode,
                                    StabilityOptions options, int& factorisations) {
  options.room_damping = 0.0;
  options.modes = modes_without_damping;
  options.growth += mode.growth / rate;
  options.frequencies = {mode.frequency / rate};
  ModeSearch search = leading_modes(level.problem, level.state, options);
  factorisations += search.factorisations;
  const auto apart = [&mode](const Mode& other) {
    return std::hypot(other.growth - mode.growth, other.frequency - mode.frequency);
  };
  const auto nearest = std::ranges::min_element(
      search.modes, [&](const Mode& a, const Mode& b) { return apart(a) < apart(b); });
  if (nearest == search.modes.end() || apart(*nearest) > one_mode * rate) {
    return std::nullopt;
  }
  return std::move(*nearest);
}

/// Puts in place of the modes that grow, fastest first and until one does, what they are without
/// damping: that alone is a disturbance of the real flow.
void undamp(const Level& level, double rate, const StabilityOptions& options, ModeSearch& search) {
  std::vector<Mode> checked;
  bool grows = false;
  for (Mode& mode : search.modes) {
    if (grows || mode.growth <= neutral_growth * rate) {
      checked.push_back(std::move(mode));
      continue;
    }
    if (std::optional<Mode> real =
            without_damping(level, rate, mode, options, search.factorisations)) {
      grows = real->growth > neutral_growth * rate;
      checked.push_back(std::move(*real));
    }
  }
  std::ranges::stable_sort(checked, std::greater{}, &Mode::growth);
  search.modes = std::move(checked);
}

/// Mean of the room's (or coldest side's) temperature and that of the warmest surface: the solid
/// that is reported, else the warmest temperature anywhere.
double film_temperature(const Section& section, const Problem& problem, const State& state,
                        double room_temperature) {
  double sum = 0.0;
  double volume = 0.0;
  double hottest = room_temperature;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const int cell = problem.mesh.cell(i, j);
      const double temperature = state.temperature[index(cell)];
      hottest = std::max(hottest, temperature);
      if (section.base >= 0 && problem.mesh.region[index(cell)] == section.base + 1) {
        const double own = problem.mesh.volume(i, j);
        sum += own * temperature;
        volume += own;
      }
    }
  }
  return 0.5 * (room_temperature + (volume > 0.0 ? sum / volume : hottest));
}

/// True when the air's properties belong to the film temperature of a level's state; otherwise
/// that film temperature is taken over.
bool film_settled(Nest& nest, int number, double tolerance) {
  if (nest.air.constants || nest.stopped()) {
    return true;
  }
  const Level& level = nest.level(number);
  const double film =
      film_temperature(nest.section, level.problem, level.state, nest.air.room_temperature);
  if (std::abs(film - nest.film) < tolerance) {
    return true;
  }
  nest.film = film;
  return false;
}

/// True time; hundreds of steps, which level 1 makes affordable where it can answer.
void march(Nest& nest, Level& level, State& last) {
  MarchOptions options;
  options.steady = nest.options.steady;
  const double rate = time_scale_rate(level.problem, level.state);
  SolveReport& report = nest.report;
  const double wish = report.time_step > 0.0 ? report.time_step : longest_step / rate;
  options.step = std::clamp(wish, shortest_step / rate, longest_step / rate);
  const SolveReport marched = march_average(level.problem, level.state, options, &last);
  level.reached = marched.status == SolveStatus::time_average ? Reached::mean : Reached::nothing;
  report.status = marched.status;
  report.steps = marched.steps;
  report.factorisations += marched.factorisations;
  report.fluctuation = marched.fluctuation;
  report.sampling = marched.sampling;
  report.stored = marched.stored;
  report.averaged = marched.averaged;
  report.time_step = marched.time_step;
}

} // namespace

Nest make_nest(const Section& section, const Condition& condition, const AirRule& air,
               const NestedOptions& options) {
  return {.section = section,
          .condition = condition,
          .air = air,
          .options = options,
          .resolution = options.resolution,
          .film = air.room_temperature + 10.0,
          .heat_peclet = options.blend_peclet};
}

void make_level(Nest& nest, int number, std::shared_ptr<const RadiantZones> zones) {
  Level& own = nest.level(number);
  own.mesh = number == 0 ? make_mesh(nest.section, nest.resolution)
                         : make_coarse_mesh(nest.section, nest.resolution, nest.coarse_ratio);
  own.problem.radiation = std::move(zones);
  set_problem(nest, own);
}

void set_problem(Nest& nest, Level& level) {
  const AirProperties air =
      nest.air.constants ? *nest.air.constants : air_at(nest.film, nest.air.room_temperature);
  level.problem = make_problem(nest.section, level.mesh, nest.condition, air, nest.options.calm,
                               level.problem.radiation);
  level.problem.blend_peclet = nest.options.blend_peclet;
  level.problem.heat_peclet = nest.heat_peclet;
  level.film = nest.film;
}

void refine(Nest& nest) {
  make_level(nest, 0);
  nest.level(0).state =
      interpolate(nest.level(1).problem, nest.level(1).state, nest.level(0).problem);
}

void converge(Nest& nest, int number, bool cold) {
  converge(nest, number, cold, nest.options.steady.max_steps);
}

void converge(Nest& nest, int number, bool cold, int max_steps) {
  Level& level = nest.level(number);
  SolveReport& report = nest.report;
  SteadyOptions options = nest.options.steady;
  options.cold = cold;
  options.max_steps = std::min({options.max_steps, max_steps, cold ? max_steps : max_warm_steps});
  for (int update = 0; update <= max_film_updates; ++update) {
    const SolveReport reached = solve_steady(level.problem, level.state, options);
    report.status = reached.status;
    report.residual = reached.residual;
    report.factorisations += reached.factorisations;
    report.steps = number == 0 ? report.steps + reached.steps : 0;
    report.time_step = reached.time_step > 0.0 ? reached.time_step : report.time_step;
    level.reached = nest.converged() ? Reached::steady : Reached::nothing;
    if (!nest.converged() || film_settled(nest, number, film_tolerance)) {
      return;
    }
    set_problem(nest, level);
    options.cold = false;
  }
}

bool average(Nest& nest, int number) {
  Level& level = nest.level(number);
  State last;
  march(nest, level, last);
  for (int update = 0;
       update < max_average_updates && !film_settled(nest, number, average_film_tolerance);
       ++update) {
    set_problem(nest, level);
    march(nest, level, last);
  }
  const auto [cold, hot] =
      std::minmax_element(level.state.temperature.begin(), level.state.temperature.end());
  nest.mean = {.level = number,
               .state = level.state,
               .last = std::move(last),
               .fluctuation = nest.report.fluctuation,
               .share = nest.report.fluctuation / std::max(*hot - *cold, smallest_rise),
               .sampling = nest.report.sampling,
               .stored = nest.report.stored,
               .averaged = nest.report.averaged,
               .settled = nest.report.status == SolveStatus::time_average};
  if (!nest.mean.settled || nest.mean.share > nearly_calm) {
    return false;
  }
  const Level marched = level;
  Attempt newton(nest);
  converge(nest, number, false, max_calm_steps);
  if (!nest.converged() && !nest.stopped() && is_calm(nest)) {
    level = marched;
    converge(nest, number, true, max_patient_steps);
  }
  if (!nest.converged() && !nest.stopped()) {
    level = marched;
    return false;
  }
  newton.keep();
  nest.report.fluctuation = 0.0;
  nest.report.sampling = 0.0;
  nest.report.stored = 0.0;
  nest.report.averaged = 0.0;
  return true;
}

bool have_same_air(const Level& a, const Level& b) {
  return std::abs(a.film - b.film) < average_film_tolerance;
}

bool is_calm(const Nest& nest) {
  return nest.mean.share < calm_share;
}

void take_mean(Nest& nest) {
  const Mean& mean = nest.mean;
  Level& level = nest.level(mean.level);
  level.state = mean.state;
  level.reached = Reached::mean;
  nest.report.status = SolveStatus::time_average;
  nest.report.fluctuation = mean.fluctuation;
  nest.report.sampling = mean.sampling;
  nest.report.stored = mean.stored;
  nest.report.averaged = mean.averaged;
}

std::vector<Mode> examine(Nest& nest, int number) {
  SolveReport& report = nest.report;
  report.stability_known = false;
  report.unstable = false;
  report.sways = false;
  if (!nest.options.examine_stability) {
    return {};
  }
  const Level& level = nest.level(number);
  const double rate = time_scale_rate(level.problem, level.state);
  StabilityOptions options;
  options.stop = nest.options.steady.stop;
  if (has_calm_room(level.problem)) {
    options.room_damping = machine_alone;
    options.max_shifts = 1;
  }
  ModeSearch search = leading_modes(level.problem, level.state, options);
  if (options.room_damping > 0.0) {
    undamp(level, rate, options, search);
  }
  report.factorisations += search.factorisations;
  if (options.stop != nullptr && options.stop->load()) {
    report.status = SolveStatus::stopped;
    return {};
  }
  report.searched = search.covered;
  if (!search.modes.empty()) {
    report.stability_known = true;
    report.growth = search.modes.front().growth;
    report.frequency = search.modes.front().frequency;
    report.unstable = report.growth > neutral_growth * rate;
  }
  return std::move(search.modes);
}

bool upwind_more(Nest& nest, int number) {
  Level& level = nest.level(number);
  if (nest.heat_peclet <= lowest_heat_peclet || !is_too_cold(level.problem, level.state)) {
    return false;
  }
  nest.heat_peclet *= 0.5;
  level.problem.heat_peclet = nest.heat_peclet;
  return true;
}

Attempt::~Attempt() {
  if (keeps_) {
    return;
  }
  report_.factorisations = nest_.report.factorisations;
  nest_.report = report_;
  nest_.film = film_;
  nest_.heat_peclet = heat_peclet_;
}

} // namespace tiltfin
