// Coarse meshes first: the long way from rest is walked where steps are cheap.
#include "solver/steady.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <memory>
#include <numeric>
#include <utility>

namespace tiltfin {

namespace {

std::size_t index(int k) {
  return static_cast<std::size_t>(k);
}

constexpr double film_tolerance = 0.02; // K: changes air's properties by less than 1e-4
constexpr int max_film_updates = 6;
constexpr double average_film_tolerance = 1.0; // K: properties to 0.3 %, below the fluctuation
constexpr int max_average_updates = 2;
constexpr int max_warm_steps = 40;      // from a good start a steady flow needs five to thirty
constexpr double calm_share = 0.02;     // fluctuation over rise below which Newton is tried
constexpr double shortest_step = 0.005; // s, of a march in true time
constexpr double longest_step = 0.5;    // s

/// Mean of the room's (or coldest side's) temperature and that of the warmest surface: the solid
/// that is reported, else the warmest temperature anywhere.
double film_temperature(const Section& section, const Problem& problem, const State& state,
                        double room_temperature) {
  double sum = 0.0;
  double area = 0.0;
  double hottest = room_temperature;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const int cell = problem.mesh.cell(i, j);
      const double temperature = state.temperature[index(cell)];
      hottest = std::max(hottest, temperature);
      if (section.base >= 0 && problem.mesh.region[index(cell)] == section.base + 1) {
        const double own = problem.mesh.x.width(i) * problem.mesh.y.width(j);
        sum += own * temperature;
        area += own;
      }
    }
  }
  return 0.5 * (room_temperature + (area > 0.0 ? sum / area : hottest));
}

double released_heat(const Problem& problem) {
  return std::accumulate(problem.heat.begin(), problem.heat.end(), 0.0);
}

/// A neighbour's state as a guess at another power: rises grow with power^0.8 and flows with
/// power^0.4, the laminar boundary-layer scaling.
State scaled(const Problem& from, State state, const Problem& to) {
  const double before = released_heat(from);
  const double now = released_heat(to);
  if (before <= 0.0 || now <= 0.0 || before == now) {
    return state;
  }
  const double flow = std::pow(now / before, 0.4);
  const double rise = flow * flow;
  const double room = to.air.reference_temperature;
  for (double& psi : state.psi) {
    psi *= flow;
  }
  for (double& temperature : state.temperature) {
    temperature = room + rise * (temperature - room);
  }
  for (double& heat : state.link_heat) {
    heat *= now / before;
  }
  const double black = stefan_boltzmann * std::pow(room, 4);
  for (std::vector<double>* radiation : {&state.radiosity, &state.irradiation}) {
    for (double& flux : *radiation) {
      flux = black + rise * (flux - black);
    }
  }
  return state;
}

/// One mesh of the nest with what was reached on it.
struct Level {
  TensorMesh mesh;
  Problem problem;
  State state;
  bool solved = false;
};

class Nest {
public:
  Nest(const Section& section, const Condition& condition, const AirRule& air,
       const NestedOptions& options)
      : section_(section),
        condition_(condition),
        air_(air),
        options_(options),
        film_(air.room_temperature + 10.0) {}

  Solution solve(const Solution* warm) {
    const auto begin = std::chrono::steady_clock::now();
    const SolveStatus start = warm == nullptr ? SolveStatus::stopped : warm->report.status;
    if (start == SolveStatus::converged && warm->coarse_state) {
      film_ = warm->film_temperature;
      from_neighbour(*warm);
    } else if (start == SolveStatus::time_average) {
      film_ = warm->film_temperature;
      make_level(1);
      levels_[1].state = warm->state;
      report_.time_step = warm->report.time_step;
      if (average()) {
        finish();
      }
    } else {
      from_rest();
    }
    Solution solution = take_solution();
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
    solution.report.seconds = elapsed.count();
    return solution;
  }

private:
  [[nodiscard]] bool converged() const { return report_.status == SolveStatus::converged; }
  [[nodiscard]] bool stopped() const { return report_.status == SolveStatus::stopped; }

  Solution take_solution() {
    Solution solution;
    Level& finest = levels_[averaged_ ? 1 : 0];
    solution.problem = std::move(finest.problem);
    solution.state = std::move(finest.state);
    if (!averaged_ && levels_[1].solved) {
      solution.coarse_problem = std::move(levels_[1].problem);
      solution.coarse_state = std::move(levels_[1].state);
    }
    solution.film_temperature = film_;
    solution.report = report_;
    return solution;
  }

  /// Level 1 resolves the flow well enough for the start-up to choose among coexisting flows; a
  /// quarter of the cells does not.
  void from_rest() {
    make_level(1);
    levels_[1].state = rest_state(levels_[1].problem, air_.room_temperature);
    converge(1, true);
    if (converged() || stopped() || average()) {
      finish();
    }
  }

  /// From level 1, which is steady, to the finest mesh.
  void finish() {
    refine(1, 0);
    if (!stopped()) {
      converge(0, false);
      retry_from_rest();
    }
  }

  /// Where the coarse flow leads nowhere, the finest mesh gets its own start from rest; the coarse
  /// solution is then another flow and says nothing about the error of the mesh.
  void retry_from_rest() {
    if (converged() || stopped()) {
      return;
    }
    levels_[0].state = rest_state(levels_[0].problem, air_.room_temperature);
    levels_[1].solved = false;
    converge(0, true);
  }

  void refine(int from, int to) {
    make_level(to);
    Level& coarse = levels_[index(from)];
    Level& fine = levels_[index(to)];
    fine.state = interpolate(coarse.problem, coarse.state, fine.problem);
  }

  /// Marches level 1 in true time. True when the flow calmed down there to a steady state after
  /// all.
  bool average() {
    march();
    for (int update = 0; update < max_average_updates && !film_settled(1, average_film_tolerance);
         ++update) {
      set_problem(levels_[1]);
      march();
    }
    double hottest = air_.room_temperature;
    for (const double temperature : levels_[1].state.temperature) {
      hottest = std::max(hottest, temperature);
    }
    const double share = report_.fluctuation / std::max(hottest - air_.room_temperature, 1.0);
    if (report_.status != SolveStatus::time_average || share > calm_share) {
      return false;
    }
    const SolveReport marched = report_;
    const State mean = levels_[1].state;
    converge(1, false);
    if (!converged() && !stopped()) {
      levels_[1].state = mean;
      const int factorisations = report_.factorisations;
      report_ = marched;
      report_.factorisations = factorisations;
      return false;
    }
    averaged_ = false;
    report_.fluctuation = 0.0;
    return true;
  }

  /// True when the air's properties belong to the film temperature of a level's state; otherwise
  /// that film temperature is taken over.
  bool film_settled(int number, double tolerance) {
    if (air_.constants || stopped()) {
      return true;
    }
    const Level& level = levels_[index(number)];
    const double film =
        film_temperature(section_, level.problem, level.state, air_.room_temperature);
    if (std::abs(film - film_) < tolerance) {
      return true;
    }
    film_ = film;
    return false;
  }

  /// True time on the mesh of level 1, where the hundreds of steps of an average are affordable.
  void march() {
    MarchOptions options;
    options.steady = options_.steady;
    if (report_.time_step > 0.0) {
      options.step = std::clamp(report_.time_step, shortest_step, longest_step);
    }
    const SolveReport report = march_average(levels_[1].problem, levels_[1].state, options);
    averaged_ = true;
    report_.status = report.status;
    report_.steps = report.steps;
    report_.factorisations += report.factorisations;
    report_.fluctuation = report.fluctuation;
    report_.time_step = report.time_step;
  }

  /// The coarse mesh shows what changes; the fine start is the neighbour plus that change.
  void from_neighbour(const Solution& warm) {
    make_level(1, warm.coarse_problem->radiation);
    levels_[1].state = scaled(*warm.coarse_problem, *warm.coarse_state, levels_[1].problem);
    converge(1, false);
    if (!converged()) {
      if (stopped() || average()) {
        finish();
      }
      return;
    }
    make_level(0, warm.problem.radiation);
    levels_[0].state = warm.state;
    const State old = interpolate(levels_[1].problem, *warm.coarse_state, levels_[0].problem);
    const State now = interpolate(levels_[1].problem, levels_[1].state, levels_[0].problem);
    State& start = levels_[0].state;
    for (std::size_t k = 0; k < start.psi.size(); ++k) {
      start.psi[k] += now.psi[k] - old.psi[k];
    }
    for (std::size_t k = 0; k < start.temperature.size(); ++k) {
      start.temperature[k] += now.temperature[k] - old.temperature[k];
    }
    start.link_heat = now.link_heat;
    start.radiosity = now.radiosity;
    start.irradiation = now.irradiation;
    converge(0, false);
    retry_from_rest();
  }

  /// `zones`: those of a neighbour on the same mesh, if there is one.
  void make_level(int level, std::shared_ptr<const RadiantZones> zones = nullptr) {
    Level& own = levels_[index(level)];
    own.mesh = make_mesh(section_, options_.resolution, level);
    own.problem.radiation = std::move(zones);
    set_problem(own);
  }

  void set_problem(Level& level) {
    const AirProperties air =
        air_.constants ? *air_.constants : air_at(film_, air_.room_temperature);
    level.problem =
        make_problem(section_, level.mesh, condition_, air, options_.calm, level.problem.radiation);
    level.problem.blend_peclet = options_.blend_peclet;
  }

  void converge(int number, bool cold) {
    Level& level = levels_[index(number)];
    SteadyOptions options = options_.steady;
    options.cold = cold;
    options.max_steps = cold ? options.max_steps : std::min(options.max_steps, max_warm_steps);
    for (int update = 0; update <= max_film_updates; ++update) {
      const SolveReport report = solve_steady(level.problem, level.state, options);
      report_.status = report.status;
      report_.residual = report.residual;
      report_.factorisations += report.factorisations;
      report_.steps = number == 0 ? report_.steps + report.steps : 0;
      report_.time_step = report.time_step > 0.0 ? report.time_step : report_.time_step;
      level.solved = report.status == SolveStatus::converged;
      if (report.status != SolveStatus::converged || film_settled(number, film_tolerance)) {
        return;
      }
      set_problem(level);
      options.cold = false;
    }
  }

  const Section& section_;
  const Condition& condition_;
  const AirRule& air_;
  const NestedOptions& options_;
  double film_;
  std::array<Level, 2> levels_;
  SolveReport report_;
  bool averaged_ = false;
};

} // namespace

Solution solve_nested(const Section& section, const Condition& condition, const AirRule& air,
                      const NestedOptions& options, const Solution* warm) {
  return Nest(section, condition, air, options).solve(warm);
}

} // namespace tiltfin
