// Coarse meshes first: the long way from rest is walked where steps are cheap.
#include "solver/carry.hpp"
#include "solver/nest.hpp"
#include "solver/start.hpp"

#include <chrono>
#include <cmath>
#include <optional>
#include <utility>

namespace tiltfin {

namespace {

constexpr double nearly_neutral = 0.1; // growth over the flow's rate that level 1 cannot judge
constexpr double disturbance = 0.1;    // of the ranges of psi and temperature
constexpr double step_share = 0.4;     // of 1 / |sigma|: 16 steps in a period
constexpr double alike = 0.3;          // relative difference of one flow on two meshes
constexpr int drift_steps = 60;        // along a slowly growing mode on the finest mesh
constexpr double swinging = 0.1; // frequency over the flow's rate: pseudo-time would not follow it
constexpr int max_departures = 4;

/// Where a march from a disturbed steady state went.
enum class Departure {
  none,      ///< no reason to, or not tried
  elsewhere, ///< to another steady state, now on the level that was left
  back,      ///< to the same one, or to nothing that has a mean: nothing has changed
  sways      ///< nowhere: it keeps fluctuating round the nest's mean
};

/// The way from a steady level 1 to a flow of the finest mesh that air does not leave.
class Way {
public:
  explicit Way(Nest& nest) : nest_(nest) {}

  /// From level 1, which is steady, to the finest mesh; from a flow that air leaves first to where
  /// it goes. `warm`: the neighbour that the condition started from, if there is one.
  void finish(const Solution* warm) {
    bool on_finest = false;
    for (int departures = 0; departures <= max_departures; ++departures) {
      const bool last = departures == max_departures;
      Departure departure = last || on_finest ? Departure::none : leave_if_level_1_knows();
      if (departure == Departure::elsewhere) {
        warm = nullptr;
        continue;
      }
      if (!on_finest && !nest_.stopped()) {
        reach_finest_with_partner(warm, departure == Departure::none);
        on_finest = true;
      }
      if (departure == Departure::none && nest_.converged()) {
        departure = judge_on_finest(last);
      }
      if (nest_.stopped() || (!nest_.converged() && departure != Departure::sways)) {
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

private:
  void reach_finest_with_partner(const Solution* warm, bool stays) {
    reach_finest(warm);
    if (nest_.converged() && !nest_.level(1).solved && stays) {
      find_partner(); // of another flow than that of level 1
    }
  }

  /// Far from neutral the growth on level 1 decides.
  Departure leave_if_level_1_knows() {
    nest_.report.stability_known = false;
    coarse_mode_.reset();
    const Level& coarse = nest_.level(1);
    if (!coarse.solved) {
      return Departure::none;
    }
    const std::vector<Mode> modes = examine(nest_, 1, StabilityOptions{}.frequencies);
    if (modes.empty()) {
      return Departure::none;
    }
    coarse_mode_ = modes.front();
    const double rate = time_scale_rate(coarse.problem, coarse.state);
    return nest_.report.growth > nearly_neutral * rate ? leave(1, modes.front()) : Departure::none;
  }

  /// Nearly neutral, or without a coarse partner, the growth on the finest mesh decides.
  Departure judge_on_finest(bool last) {
    const SolveReport& report = nest_.report;
    const double rate = time_scale_rate(nest_.level(0).problem, nest_.level(0).state);
    const bool level_1_knows = nest_.level(1).solved && report.stability_known;
    if (level_1_knows && report.growth < -nearly_neutral * rate) {
      return Departure::none;
    }
    const std::vector<Mode> modes =
        examine(nest_, 0,
                level_1_knows ? std::vector<double>{report.frequency / rate}
                              : StabilityOptions{}.frequencies);
    if (modes.empty() || !report.unstable || last) {
      return Departure::none;
    }
    const bool slowly =
        std::hypot(report.growth / nearly_neutral, report.frequency / swinging) < rate;
    if (slowly && drift(modes.front()) == Departure::elsewhere) {
      return Departure::elsewhere;
    }
    if (nest_.stopped()) {
      return Departure::back;
    }
    const bool level_1_grows = coarse_mode_ && coarse_mode_->growth > neutral_growth * rate;
    return level_1_grows ? leave(1, *coarse_mode_) : leave(0, modes.front());
  }

  /// From the steady level 1 alone, or, where a neighbour is known, from it and the change that
  /// level 1 shows.
  void reach_finest(const Solution* warm) {
    refine(nest_);
    Level& finest = nest_.level(0);
    if (warm != nullptr) {
      const State old = interpolate(nest_.level(1).problem, *warm->coarse_state, finest.problem);
      add_difference(finest.state, warm->state, old);
    }
    converge(nest_, 0, false);
    retry();
  }

  /// Where neither Newton's method nor pseudo-time gets from the coarse flow to a steady one of the
  /// finest mesh, the air is followed there in true time: to a steady state after all, or to a
  /// mean, which the coarse solution says nothing about.
  void retry() {
    if (nest_.converged() || nest_.stopped()) {
      return;
    }
    refine(nest_);
    Level& finest = nest_.level(0);
    const State start = finest.state;
    const Mean of_level_1 = nest_.mean; // where the air has left a steady flow there
    const bool steadies = average(nest_, 0);
    if (steadies || !nest_.mean.settled) {
      nest_.mean = of_level_1;
    }
    nest_.only_mean = false;
    nest_.level(1).solved =
        steadies && relative_difference(finest.problem, start, finest.state) < alike;
  }

  /// Looks on level 1 for the flow of the finest mesh; it is not solved where that has none.
  void find_partner() {
    Level& coarse = nest_.level(1);
    coarse_mode_.reset();
    nest_.report.stability_known = false;
    Attempt on_level_1(nest_);
    set_problem(nest_, coarse);
    coarse.state = interpolate(nest_.level(0).problem, nest_.level(0).state, coarse.problem);
    const State start = coarse.state;
    converge(nest_, 1, false);
    coarse.solved =
        nest_.converged() && relative_difference(coarse.problem, start, coarse.state) < alike;
    if (nest_.stopped()) {
      on_level_1.keep();
    }
  }

  /// The finest mesh along a slowly growing mode in pseudo-time, which follows slow changes: to
  /// another steady flow, or back to what it was.
  Departure drift(const Mode& mode) {
    return depart(0, mode, [&] {
      converge(nest_, 0, true, drift_steps);
      return nest_.converged();
    });
  }

  /// A level in true time from its steady state along its growing mode. Unless the air goes
  /// elsewhere, the level and the report keep what they had.
  Departure leave(int number, const Mode& mode) {
    nest_.mean.settled = false;
    const Departure departure = depart(number, mode, [&] {
      nest_.report.time_step = step_share / std::hypot(mode.growth, mode.frequency);
      const bool calm = average(nest_, number);
      nest_.only_mean = false;
      return calm;
    });
    // However little it sways, it is not the steady flow that disturbances leave.
    const bool sways = departure == Departure::back && !nest_.stopped() && nest_.mean.settled;
    return sways ? Departure::sways : departure;
  }

  /// `follow` takes a level from its disturbed steady state, true when that ends on a steady one;
  /// where it is the same, or none, everything is put back.
  template <class Follow>
  Departure depart(int number, const Mode& mode, const Follow& follow) {
    Level& level = nest_.level(number);
    const Level steady = level;
    Attempt departure(nest_);
    left_on_ = number;
    disturb(level.state, mode);
    const bool steadies = follow();
    if (nest_.stopped()) {
      departure.keep();
      return Departure::back;
    }
    if (steadies && relative_difference(level.problem, steady.state, level.state) > same_flow) {
      departure.keep();
      if (number == 0) {
        find_partner();
      }
      return Departure::elsewhere;
    }
    level = steady;
    return Departure::back;
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
    const bool pair = nest_.converged() && nest_.level(1).solved;
    const Mean& mean = nest_.mean;
    nest_.report.status = SolveStatus::time_average;
    nest_.report.fluctuation = mean.fluctuation;
    nest_.report.stored = mean.stored;
    Level& own = nest_.level(mean.level);
    Level& other = nest_.level(1 - mean.level);
    if (pair) {
      const State there = interpolate(own.problem, mean.state, other.problem);
      const State steady = interpolate(own.problem, own.state, other.problem);
      add_difference(other.state, there, steady);
    }
    own.state = mean.state;
    nest_.only_mean = !pair && mean.level == 1;
    nest_.level(1).solved = pair;
  }

  Nest& nest_;
  int left_on_ = 1;                 ///< level of the last departure
  std::optional<Mode> coarse_mode_; ///< least stable on level 1, of the flow of the finest mesh
};

/// Level 1 resolves the flow well enough for the start-up to choose among coexisting flows; a
/// quarter of the cells does not.
void solve_from_rest(Nest& nest, const Start* start) {
  nest.film = start == nullptr ? nest.film : start->film_temperature;
  make_level(nest, 1);
  Level& coarse = nest.level(1);
  coarse.state = start == nullptr ? rest_state(coarse.problem, nest.air.room_temperature)
                                  : interpolate(start->problem, start->state, coarse.problem);
  converge(nest, 1, true);
  if (nest.converged() || (!nest.stopped() && average(nest, 1))) {
    Way(nest).finish(nullptr);
  }
}

/// The coarse mesh shows what changes from a neighbour.
void solve_from_neighbour(Nest& nest, const Solution& warm) {
  nest.film = warm.film_temperature;
  make_level(nest, 1, warm.coarse_problem->radiation);
  Level& coarse = nest.level(1);
  coarse.state = scaled(*warm.coarse_problem, *warm.coarse_state, coarse.problem);
  converge(nest, 1, false);
  if (nest.converged()) {
    Way(nest).finish(&warm);
  } else if (!nest.stopped() && average(nest, 1)) {
    Way(nest).finish(nullptr);
  }
}

Solution take_solution(Nest& nest) {
  Solution solution;
  const bool only_coarse = nest.only_mean || nest.level(0).state.temperature.empty(); // or stopped
  Level& finest = nest.level(only_coarse ? 1 : 0);
  solution.problem = std::move(finest.problem);
  solution.state = std::move(finest.state);
  if (!only_coarse && nest.level(1).solved) {
    solution.coarse_problem = std::move(nest.level(1).problem);
    solution.coarse_state = std::move(nest.level(1).state);
  }
  solution.film_temperature = nest.film;
  solution.report = nest.report;
  return solution;
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
                    warm->coarse_state.has_value();
  return timed(make_nest(section, condition, air, options), [&](Nest& nest) {
    near ? solve_from_neighbour(nest, *warm) : solve_from_rest(nest, nullptr);
  });
}

Solution solve_nested_from(const Section& section, const Condition& condition, const AirRule& air,
                           const NestedOptions& options, const Start& start) {
  return timed(make_nest(section, condition, air, options),
               [&](Nest& nest) { solve_from_rest(nest, &start); });
}

} // namespace tiltfin
