// Coarse meshes first: the long way from rest is walked where steps are cheap.
#include "solver/stability.hpp"
#include "solver/start.hpp"
#include "solver/steady.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <memory>
#include <numeric>
#include <optional>
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
constexpr int max_warm_steps = 40;     // from a good start a steady flow needs five to thirty
constexpr double calm_share = 0.02;    // fluctuation over rise below which Newton is tried
constexpr double smallest_rise = 1e-6; // K: against division by zero
constexpr double shortest_step = 0.02; // of a march in true time, times the flow's rate
constexpr double longest_step = 0.5;
constexpr double nearly_neutral = 0.1;  // growth over the flow's rate that level 1 cannot judge
constexpr double neutral_growth = 1e-3; // growth over the flow's rate below which nothing grows
constexpr double disturbance = 0.1;     // of the ranges of psi and temperature
constexpr double step_share = 0.4;      // of 1 / |sigma|: 16 steps in a period
constexpr double alike = 0.3;           // the same of one flow on two meshes
constexpr int max_departures = 4;

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
  for (double& temperature : state.fin_temperature) {
    temperature = room + rise * (temperature - room);
  }
  for (double& age : state.air_age) {
    age /= flow;
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

/// state += a - b
void add_difference(State& state, const State& a, const State& b) {
  const auto add = [](std::vector<double>& to, const std::vector<double>& more,
                      const std::vector<double>& less) {
    for (std::size_t k = 0; k < to.size(); ++k) {
      to[k] += more[k] - less[k];
    }
  };
  add(state.psi, a.psi, b.psi);
  add(state.temperature, a.temperature, b.temperature);
  add(state.fin_temperature, a.fin_temperature, b.fin_temperature);
  add(state.air_age, a.air_age, b.air_age);
  add(state.link_heat, a.link_heat, b.link_heat);
  add(state.radiosity, a.radiosity, b.radiosity);
  add(state.irradiation, a.irradiation, b.irradiation);
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

  /// From rest, from the neighbour `warm`, or from `start`, whichever there is.
  Solution solve(const Solution* warm, const Start* start) {
    const auto begin = std::chrono::steady_clock::now();
    if (start != nullptr) {
      from_rest(start);
    } else if (warm != nullptr && warm->report.status == SolveStatus::converged &&
               warm->coarse_state) {
      from_neighbour(*warm);
    } else {
      from_rest(nullptr);
    }
    Solution solution = take_solution();
    const std::chrono::duration<double> elapsed = std::chrono::steady_clock::now() - begin;
    solution.report.seconds = elapsed.count();
    return solution;
  }

private:
  /// Where a march from a disturbed steady state went.
  enum class Departure {
    none,      ///< no reason to, or not tried
    elsewhere, ///< to another steady state, now on level 1
    back,      ///< to the same one, or to nothing that has a mean: nothing has changed
    sways      ///< nowhere: it keeps fluctuating round mean_
  };

  [[nodiscard]] bool converged() const { return report_.status == SolveStatus::converged; }
  [[nodiscard]] bool stopped() const { return report_.status == SolveStatus::stopped; }

  Solution take_solution() {
    Solution solution;
    const bool only_coarse = averaged_ || levels_[0].state.temperature.empty(); // or stopped early
    Level& finest = levels_[only_coarse ? 1 : 0];
    solution.problem = std::move(finest.problem);
    solution.state = std::move(finest.state);
    if (!only_coarse && levels_[1].solved) {
      solution.coarse_problem = std::move(levels_[1].problem);
      solution.coarse_state = std::move(levels_[1].state);
    }
    solution.film_temperature = film_;
    solution.report = report_;
    return solution;
  }

  /// Level 1 resolves the flow well enough for the start-up to choose among coexisting flows; a
  /// quarter of the cells does not.
  void from_rest(const Start* start) {
    film_ = start == nullptr ? film_ : start->film_temperature;
    make_level(1);
    levels_[1].state = start == nullptr
                           ? rest_state(levels_[1].problem, air_.room_temperature)
                           : interpolate(start->problem, start->state, levels_[1].problem);
    converge(1, true);
    if (converged() || (!stopped() && average(1))) {
      finish(nullptr);
    }
  }

  /// The coarse mesh shows what changes from a neighbour.
  void from_neighbour(const Solution& warm) {
    film_ = warm.film_temperature;
    make_level(1, warm.coarse_problem->radiation);
    levels_[1].state = scaled(*warm.coarse_problem, *warm.coarse_state, levels_[1].problem);
    converge(1, false);
    if (converged()) {
      finish(&warm);
    } else if (!stopped() && average(1)) {
      finish(nullptr);
    }
  }

  /// From level 1, which is steady, to the finest mesh; from a flow that air leaves first to where
  /// it goes.
  void finish(const Solution* warm) {
    bool on_finest = false;
    for (int departures = 0; departures <= max_departures; ++departures) {
      const bool last = departures == max_departures;
      Departure departure = last || on_finest ? Departure::none : leave_if_level_1_knows();
      if (departure == Departure::elsewhere) {
        warm = nullptr;
        continue;
      }
      if (!on_finest && !stopped()) {
        reach_finest_with_partner(warm, departure == Departure::none);
        on_finest = true;
      }
      if (departure == Departure::none && converged()) {
        departure = judge_on_finest(last);
      }
      if (stopped() || (!converged() && departure != Departure::sways)) {
        return;
      }
      if (departure == Departure::elsewhere) {
        on_finest = left_on_ == 0;
        warm = nullptr;
        continue;
      }
      if (departure == Departure::sways) {
        take_mean();
      }
      return;
    }
  }

  void reach_finest_with_partner(const Solution* warm, bool stays) {
    reach_finest(warm);
    if (converged() && !levels_[1].solved && stays) {
      find_partner(); // of another flow than that of level 1
    }
  }

  /// Far from neutral the growth on level 1 decides.
  Departure leave_if_level_1_knows() {
    report_.stability_known = false;
    coarse_mode_.reset();
    if (!levels_[1].solved) {
      return Departure::none;
    }
    const std::vector<Mode> modes = examine(1, StabilityOptions{}.frequencies);
    const double rate = time_scale_rate(levels_[1].problem, levels_[1].state);
    if (!modes.empty()) {
      coarse_mode_ = modes.front();
    }
    return !modes.empty() && report_.growth > nearly_neutral * rate ? leave(1, modes.front())
                                                                    : Departure::none;
  }

  /// Nearly neutral, or without a coarse partner, the growth on the finest mesh decides.
  Departure judge_on_finest(bool last) {
    const double rate = time_scale_rate(levels_[0].problem, levels_[0].state);
    if (levels_[1].solved && report_.stability_known && report_.growth < -nearly_neutral * rate) {
      return Departure::none;
    }
    const bool knows_where = levels_[1].solved && report_.stability_known;
    const std::vector<Mode> modes =
        examine(0, knows_where ? std::vector<double>{report_.frequency / rate}
                               : StabilityOptions{}.frequencies);
    if (modes.empty() || !report_.unstable || last) {
      return Departure::none;
    }
    const bool slowly = report_.growth < nearly_neutral * rate;
    if (slowly && drift(modes.front()) == Departure::elsewhere) {
      return Departure::elsewhere;
    }
    if (stopped()) {
      return Departure::back;
    }
    const bool level_1_grows = coarse_mode_ && coarse_mode_->growth > neutral_growth * rate;
    return level_1_grows ? leave(1, *coarse_mode_) : leave(0, modes.front());
  }

  /// From the steady level 1 alone, or, where a neighbour is known, from it and the change that
  /// level 1 shows.
  void reach_finest(const Solution* warm) {
    refine(1, 0);
    if (warm != nullptr) {
      const State old = interpolate(levels_[1].problem, *warm->coarse_state, levels_[0].problem);
      add_difference(levels_[0].state, warm->state, old);
    }
    converge(0, false);
    retry();
  }

  /// Where Newton's method does not get from the coarse flow to that of the finest mesh,
  /// pseudo-time with small steps may; where that leads nowhere either, the finest mesh gets its
  /// own start from rest. The coarse solution is then another flow and says nothing about the error
  /// of the mesh.
  void retry() {
    if (converged() || stopped()) {
      return;
    }
    refine(1, 0);
    const State start = levels_[0].state;
    converge(0, true);
    if (stopped()) {
      return;
    }
    levels_[1].solved =
        converged() && relative_difference(levels_[0].problem, start, levels_[0].state) < alike;
    if (!converged()) {
      levels_[0].state = rest_state(levels_[0].problem, air_.room_temperature);
      converge(0, true);
    }
  }

  /// Looks on level 1 for the flow of the finest mesh; it is not solved where that has none.
  void find_partner() {
    Level& coarse = levels_[1];
    const SolveReport before = report_;
    const double film = film_;
    coarse_mode_.reset();
    set_problem(coarse);
    coarse.state = interpolate(levels_[0].problem, levels_[0].state, coarse.problem);
    const State start = coarse.state;
    converge(1, false);
    coarse.solved = converged() && relative_difference(coarse.problem, start, coarse.state) < alike;
    if (stopped()) {
      return;
    }
    film_ = film;
    const int factorisations = report_.factorisations;
    report_ = before;
    report_.factorisations = factorisations;
    report_.stability_known = false;
  }

  /// Modes of a level's steady state; the report takes over what they say.
  std::vector<Mode> examine(int number, const std::vector<double>& frequencies) {
    report_.stability_known = false;
    report_.unstable = false;
    if (!options_.examine_stability) {
      return {};
    }
    const Level& level = levels_[index(number)];
    StabilityOptions options;
    options.frequencies = frequencies;
    options.stop = options_.steady.stop;
    std::vector<Mode> modes = leading_modes(level.problem, level.state, options);
    if (options.stop != nullptr && options.stop->load()) {
      report_.status = SolveStatus::stopped;
      return {};
    }
    report_.factorisations += static_cast<int>(frequencies.size());
    if (!modes.empty()) {
      report_.stability_known = true;
      report_.growth = modes.front().growth;
      report_.frequency = modes.front().frequency;
      report_.unstable =
          report_.growth > neutral_growth * time_scale_rate(level.problem, level.state);
    }
    return modes;
  }

  /// The finest mesh along a slowly growing mode in pseudo-time, which follows slow changes: to
  /// another steady flow, or back to what it was.
  Departure drift(const Mode& mode) {
    Level& level = levels_[0];
    const Level steady = level;
    const SolveReport before = report_;
    const double film = film_;
    left_on_ = 0;
    disturb(level.state, mode);
    converge(0, true);
    if (stopped()) {
      return Departure::back;
    }
    if (converged() && relative_difference(level.problem, steady.state, level.state) > same_flow) {
      find_partner();
      return Departure::elsewhere;
    }
    level = steady;
    film_ = film;
    const int factorisations = report_.factorisations;
    report_ = before;
    report_.factorisations = factorisations;
    return Departure::back;
  }

  /// A level in true time from its steady state along its growing mode. Unless the air goes
  /// elsewhere, the level and the report keep what they had.
  Departure leave(int number, const Mode& mode) {
    Level& level = levels_[index(number)];
    const Level steady = level;
    const SolveReport before = report_;
    const double film = film_;
    left_on_ = number;
    disturb(level.state, mode);
    report_.time_step = step_share / std::hypot(mode.growth, mode.frequency);
    const bool calm = average(number);
    averaged_ = false;
    if (stopped()) {
      return Departure::back;
    }
    if (calm && relative_difference(level.problem, steady.state, level.state) > same_flow) {
      if (number == 0) {
        find_partner();
      }
      return Departure::elsewhere;
    }
    // However little it sways, it is not the steady flow that disturbances leave.
    level = steady;
    film_ = film;
    const int factorisations = report_.factorisations;
    report_ = before;
    report_.factorisations = factorisations;
    return mean_settled_ ? Departure::sways : Departure::back;
  }

  static void disturb(State& state, const Mode& mode) {
    for (std::size_t k = 0; k < state.psi.size(); ++k) {
      state.psi[k] += disturbance * mode.real.psi[k];
    }
    for (std::size_t k = 0; k < state.temperature.size(); ++k) {
      state.temperature[k] += disturbance * mode.real.temperature[k];
    }
  }

  /// The mean of one level carried to the other as the difference that it makes to the steady
  /// state there; where the two do not have the same steady flow, the mean of its level alone.
  void take_mean() {
    const bool pair = converged() && levels_[1].solved;
    report_.status = SolveStatus::time_average;
    report_.fluctuation = mean_fluctuation_;
    Level& own = levels_[index(left_on_)];
    Level& other = levels_[index(1 - left_on_)];
    if (pair) {
      const State mean = interpolate(own.problem, mean_, other.problem);
      const State steady = interpolate(own.problem, own.state, other.problem);
      add_difference(other.state, mean, steady);
    }
    own.state = mean_;
    averaged_ = !pair && left_on_ == 1;
    levels_[1].solved = pair;
  }

  void refine(int from, int to) {
    make_level(to);
    Level& coarse = levels_[index(from)];
    Level& fine = levels_[index(to)];
    fine.state = interpolate(coarse.problem, coarse.state, fine.problem);
  }

  /// Marches a level in true time. True when the flow calmed down there to a steady state after
  /// all.
  bool average(int number) {
    Level& level = levels_[index(number)];
    march(level);
    for (int update = 0;
         update < max_average_updates && !film_settled(number, average_film_tolerance); ++update) {
      set_problem(level);
      march(level);
    }
    mean_ = level.state;
    mean_fluctuation_ = report_.fluctuation;
    mean_settled_ = report_.status == SolveStatus::time_average;
    const auto [cold, hot] =
        std::minmax_element(mean_.temperature.begin(), mean_.temperature.end());
    const double share = mean_fluctuation_ / std::max(*hot - *cold, smallest_rise);
    if (!mean_settled_ || share > calm_share) {
      return false;
    }
    const SolveReport marched = report_;
    converge(number, false);
    if (!converged() && !stopped()) {
      level.state = mean_;
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

  /// True time; hundreds of steps, which level 1 makes affordable where it can answer.
  void march(Level& level) {
    MarchOptions options;
    options.steady = options_.steady;
    const double rate = time_scale_rate(level.problem, level.state);
    const double wish = report_.time_step > 0.0 ? report_.time_step : longest_step / rate;
    options.step = std::clamp(wish, shortest_step / rate, longest_step / rate);
    const SolveReport report = march_average(level.problem, level.state, options);
    averaged_ = true;
    report_.status = report.status;
    report_.steps = report.steps;
    report_.factorisations += report.factorisations;
    report_.fluctuation = report.fluctuation;
    report_.time_step = report.time_step;
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
  bool averaged_ = false; ///< no steady state: the result is a mean on level 1
  State mean_;            ///< of the last march
  int left_on_ = 1;       ///< level of the last departure
  double mean_fluctuation_ = 0.0;
  bool mean_settled_ = false;
  std::optional<Mode> coarse_mode_; ///< least stable on level 1, of the flow of the finest mesh
};

} // namespace

Solution solve_nested(const Section& section, const Condition& condition, const AirRule& air,
                      const NestedOptions& options, const Solution* warm) {
  return Nest(section, condition, air, options).solve(warm, nullptr);
}

Solution solve_nested_from(const Section& section, const Condition& condition, const AirRule& air,
                           const NestedOptions& options, const Start& start) {
  return Nest(section, condition, air, options).solve(nullptr, &start);
}

} // namespace tiltfin
