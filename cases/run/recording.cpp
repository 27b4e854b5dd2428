#include "cases/run/recording.hpp"

#include "cases/file/conditions.hpp"
#include "mesh/index.hpp"
#include "post/numbers/balances.hpp"
#include "solver/stability.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace tiltfin {
namespace {

constexpr int n_frames = 24;
constexpr double first_frame_s = 1.0;    // of a start from cold: the plume has just begun to rise
constexpr double to_one_percent = 4.6;   // time constants, ln 100
constexpr double swing_periods = 2.0;    // that are shown
constexpr double most_flow_times = 60.0; // shown of one that swings without a period
constexpr double flow_times_before = 20.0;
constexpr double lightest_power_w = 1e-9; // against division by zero

/// Of the section that the fields show.
double section_power_w(const Outcome& outcome) {
  return outcome.fan.empty() ? outcome.power_w : outcome.fan.front().power_w;
}

Problem recorded_problem(const Case& the_case, const Section& section, const Outcome& outcome,
                         const SeenFlow& known) {
  const Condition condition{known.gravity_x, known.gravity_y, section_power_w(outcome)};
  const AirProperties air = the_case.air.value_or(
      air_at(outcome.film_temperature_c + zero_celsius, the_case.room_temperature));
  Problem problem = make_problem(section, known.mesh, condition, air, the_case.calm);
  if (std::isfinite(outcome.heat_cell_peclet)) {
    problem.heat_peclet = outcome.heat_cell_peclet;
  }
  return problem;
}

/// Heat that the condition has stored when it has settled, over its power: the time constant of a
/// body of one temperature [s].
double storing_time(const Problem& problem, const Section& section, const SeenFlow& known,
                    const Outcome& outcome, double room) {
  double heat = 0.0;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const int cell = problem.mesh.cell(i, j);
      const int medium = problem.medium_cell[index(cell)];
      const double metal = medium >= 0 ? 1.0 - problem.media[index(medium)].porosity
                                       : (problem.mesh.is_air(i, j) ? 0.0 : 1.0);
      heat += metal * problem.metal_capacity[index(cell)] * problem.mesh.x.width(i) *
              problem.mesh.x_face_area(j) * (known.state.temperature[index(cell)] - room);
    }
  }
  return heat * section.depth / std::max(section_power_w(outcome), lightest_power_w);
}

/// By one factor from the first to the last.
std::vector<double> growing_times(double last_s) {
  const double first = std::min(first_frame_s, last_s / n_frames);
  const double factor = std::pow(last_s / first, 1.0 / (n_frames - 1));
  std::vector<double> times(n_frames);
  for (int k = 0; k < n_frames; ++k) {
    times[index(k)] = first * std::pow(factor, k);
  }
  return times;
}

std::vector<double> even_times(double length_s, int n) {
  std::vector<double> times(index(n));
  for (int k = 0; k < n; ++k) {
    times[index(k)] = length_s * (k + 1) / n;
  }
  return times;
}

/// Of a swaying flow: swings of the state that it left, else as long as its mean was taken over.
double time_shown(const Outcome& outcome, double rate) {
  if (std::isfinite(outcome.stability.period_s)) {
    return swing_periods * outcome.stability.period_s;
  }
  const double most = most_flow_times / rate;
  return std::isfinite(outcome.mean_over_s) ? std::min(outcome.mean_over_s, most) : most;
}

/// As far as it is known: fins as warm as the air between them, radiation that of the room.
State known_state(const Problem& problem, const SeenFlow& known, double room) {
  State state = rest_state(problem, room);
  state.psi = known.state.psi;
  state.temperature = known.state.temperature;
  for (std::size_t k = 0; k < state.fin_temperature.size(); ++k) {
    state.fin_temperature[k] = state.temperature[index(problem.media[k].cell)];
  }
  return state;
}

SeenFlow seen(const Problem& problem, const SeenFlow& known, const State& state) {
  SeenFlow flow = known;
  flow.air_density = problem.air.density;
  flow.state.psi = state.psi;
  flow.state.temperature = state.temperature;
  return flow;
}

} // namespace

const char* name(Recording recording) {
  return recording == Recording::from_cold ? "from-cold" : "swaying";
}

RecordedFlow record_flow(const Case& the_case, const Section& section, const Outcome& outcome,
                         const SeenFlow& known, Recording recording, const std::atomic<bool>* stop,
                         const std::function<void()>& step) {
  Problem problem = recorded_problem(the_case, section, outcome, known);
  const double room = the_case.room_temperature;
  RecordOptions options;
  options.steady.stop = stop;
  options.steady.watch = [&step](const SolveReport& /*report*/) { step(); };
  RecordedFlow recorded;
  State state;
  const auto keep = [&](double time, const State& now) {
    recorded.times_s.push_back(time);
    recorded.flows.push_back(seen(problem, known, now));
    recorded.base_rises_k.push_back(
        section.base < 0 ? nan : solid_temperature(problem, now, section.base).mean - room);
  };
  if (recording == Recording::from_cold) {
    set_metal_capacity(section, problem);
    options.times_s =
        growing_times(to_one_percent * storing_time(problem, section, known, outcome, room));
    state = rest_state(problem, room);
    keep(0.0, state);
  } else {
    state = known_state(problem, known, room);
    const double rate = time_scale_rate(problem, state);
    options.times_s = even_times(flow_times_before / rate, n_frames);
    const SolveReport before = record_march(problem, state, options, [](double, const State&) {});
    recorded.status = before.status;
    if (before.status != SolveStatus::converged) {
      return recorded;
    }
    options.times_s = even_times(time_shown(outcome, rate), n_frames);
    set_metal_capacity(section, problem); // the air sways, metal hardly follows
  }
  recorded.status = record_march(problem, state, options, keep).status;
  return recorded;
}

} // namespace tiltfin
