#include "solver/way.hpp"

#include "solver/carry.hpp"
#include "solver/start.hpp"

#include <array>
#include <cmath>
#include <utility>

namespace tiltfin {

namespace {

constexpr double nearly_neutral = 0.1; // growth over the flow's rate that pseudo-time follows
constexpr double swinging = 0.1; // frequency over the flow's rate: pseudo-time would not follow it
constexpr double disturbance = 0.1; // of the ranges of psi and temperature
constexpr double step_share = 0.4;  // of 1 / |sigma|: 16 steps in a period
constexpr double alike = 0.3;       // relative difference of one flow on two meshes
constexpr double finer = 1.5;       // as many cells each way: does a disturbance grow there too?
constexpr int drift_steps = 60;     // along a slowly growing mode
constexpr int max_departures = 4;

/// Where the air went from a steady state along a growing mode.
enum class Departure {
  none,      ///< no reason to, or not tried
  elsewhere, ///< to another steady state, which is now the finest mesh's
  back,      ///< to the same one, or to nothing that has a mean: nothing has changed
  mean       ///< nowhere: it keeps fluctuating, and the finest mesh has the mean
};

/// The way from a state of level 1 to a flow of the finest mesh that air does not leave. Only the
/// finest mesh judges: half its cells do not resolve the disturbances.
class Way {
public:
  explicit Way(Nest& nest) : nest_(nest) {}

  /// `warm`: the neighbour that the condition started from, if there is one.
  void finish(const Solution* warm) {
    reach_finest(warm);
    settle();
  }

  /// From a steady flow of the finest mesh.
  void settle() {
    for (int departures = 0; nest_.converged(); ++departures) {
      if (nest_.level(1).reached != Reached::steady) {
        find_partner(); // level 1 has another flow, or none
      }
      if (nest_.stopped() || judge(departures == max_departures) != Departure::elsewhere) {
        break;
      }
      nest_.level(1).reached = Reached::nothing;
    }
    if (nest_.report.status == SolveStatus::time_average &&
        nest_.level(1).reached != Reached::mean) {
      average_partner();
    }
  }

private:
  Departure judge(bool last) {
    const SolveReport& report = nest_.report;
    const std::vector<Mode> modes = examine(nest_, 0);
    if (modes.empty() || !report.unstable || last) {
      return Departure::none;
    }
    const double rate = time_scale_rate(nest_.level(0).problem, nest_.level(0).state);
    const bool swings = report.frequency > swinging * rate; // others do not go with the mesh
    if ((swings && !grows_on_finer()) || nest_.stopped()) {
      return Departure::none;
    }
    const bool slowly =
        std::hypot(report.growth / nearly_neutral, report.frequency / swinging) < rate;
    const Departure drifted = slowly ? drift(modes.front()) : Departure::none;
    if (drifted == Departure::elsewhere || nest_.stopped()) {
      return drifted;
    }
    const Departure departure = leave(modes.front());
    if (departure == Departure::back && nest_.mean.settled && is_calm(nest_)) {
      nest_.report.unstable = false; // it sways, by nothing that the base would feel
      nest_.report.sways = true;
    }
    return departure;
  }

  /// Asks a finer mesh whether disturbances of the steady flow grow; yes where it has another flow.
  /// Where they do not, that mesh has the result, and the finest until then is its coarse partner.
  bool grows_on_finer() {
    const Nest before = nest_;
    Attempt on_finer(nest_);
    nest_.resolution = with_cells_scaled(nest_.section, nest_.resolution, 1.0 / finer);
    nest_.level(1) = nest_.level(0);
    refine(nest_);
    const State start = nest_.level(0).state;
    converge(nest_, 0, false);
    const bool same = nest_.converged() && relative_difference(nest_.level(0).problem, start,
                                                               nest_.level(0).state) < alike;
    if (same) {
      (void)examine(nest_, 0);
    }
    if (nest_.stopped()) {
      on_finer.keep();
      return true;
    }
    if (same && nest_.report.stability_known && !nest_.report.unstable) {
      on_finer.keep();
      nest_.coarse_ratio = finer;
      return false;
    }
    nest_.resolution = before.resolution;
    nest_.levels = before.levels;
    return true;
  }

  /// From level 1 alone, or, where a neighbour is known, from it and the change that level 1 shows.
  void reach_finest(const Solution* warm) {
    refine(nest_);
    Level& finest = nest_.level(0);
    if (warm != nullptr) {
      const State old = interpolate(nest_.level(1).problem, *warm->coarse_state, finest.problem);
      add_difference(finest.state, warm->state, old);
    }
    converge(nest_, 0, false);
    bound();
    retry();
  }

  /// More upwinding until no air is too cold: from the steady flow with less of it or, where there
  /// is none, once more from level 1. A steady flow stays where the next is not found.
  void bound() {
    bool any = false;
    for (;;) {
      const Nest before = nest_;
      if (nest_.stopped() || !upwind_more(nest_, 0)) {
        break;
      }
      if (!before.converged()) {
        refine(nest_);
      }
      converge(nest_, 0, false);
      if (before.converged() && !nest_.converged() && !nest_.stopped()) {
        const int factorisations = nest_.report.factorisations;
        nest_.levels = before.levels;
        nest_.film = before.film;
        nest_.heat_peclet = before.heat_peclet;
        nest_.report = before.report;
        nest_.report.factorisations = factorisations;
        break;
      }
      any = true;
    }
    Level& coarse = nest_.level(1);
    if (any && coarse.reached == Reached::steady) {
      Attempt on_level_1(nest_);
      set_problem(nest_, coarse);
      converge(nest_, 1, false);
    } else if (any) {
      coarse.reached = Reached::nothing; // it still has less upwinding
    }
  }

  /// Where neither Newton's method nor pseudo-time gets from the coarse flow to a steady one of the
  /// finest mesh, the air is followed there in true time: to a steady state after all, or to a
  /// mean.
  void retry() {
    if (nest_.converged() || nest_.stopped()) {
      return;
    }
    const Level coarse = nest_.level(1);
    if (!develop()) {
      nest_.level(1) = coarse;
      if (nest_.stopped()) {
        return;
      }
      refine(nest_);
    }
    Level& finest = nest_.level(0);
    const bool steadies = average(nest_, 0);
    if (!steadies && !nest_.stopped()) {
      bound_mean();
    }
    if (nest_.converged()) {
      nest_.level(1) = coarse;
      const State of_coarse = interpolate(coarse.problem, coarse.state, finest.problem);
      if (relative_difference(finest.problem, of_coarse, finest.state) > alike) {
        nest_.level(1).reached = Reached::nothing;
      }
    }
    forget_other_air();
  }

  /// Where the mean has air that is too cold, more upwinding, with which the flow may be steady
  /// after all; where it is not, the mean once more with what was tried last.
  void bound_mean() {
    const State mean = nest_.level(0).state;
    bool any = false;
    while (!nest_.converged() && !nest_.stopped() && upwind_more(nest_, 0)) {
      any = true;
      converge(nest_, 0, false);
      if (!nest_.converged() && !nest_.stopped()) {
        nest_.level(0).state = mean;
      }
    }
    if (!any || nest_.stopped()) {
      return;
    }
    nest_.level(1).reached = Reached::nothing; // it still has less upwinding
    if (nest_.converged()) {
      bound();
    } else {
      average(nest_, 0);
    }
  }

  /// Looks for the steady flow of the finest mesh on level 1; where half the cells do not have it,
  /// on two thirds of them, and there in small steps too.
  void find_partner() {
    for (const auto& [ratio, cold] : {std::pair{2.0, false}, {1.5, false}, {1.5, true}}) {
      if (ratio != nest_.coarse_ratio) {
        nest_.coarse_ratio = ratio;
        make_level(nest_, 1);
      }
      Level& coarse = nest_.level(1);
      Attempt on_level_1(nest_);
      const State start = start_partner();
      converge(nest_, 1, cold);
      if (relative_difference(coarse.problem, start, coarse.state) > alike) {
        coarse.reached = Reached::nothing;
      }
      if (nest_.stopped()) {
        on_level_1.keep();
        return;
      }
      if (coarse.reached == Reached::steady) {
        return;
      }
    }
  }

  /// Follows the flow whose mean the finest mesh has on level 1 as well: to its mean there, or to
  /// the steady flow that it comes to.
  void average_partner() {
    const Mean of_finest = nest_.mean;
    Attempt on_level_1(nest_);
    (void)start_partner();
    average(nest_, 1);
    nest_.mean = of_finest;
    if (nest_.stopped()) {
      on_level_1.keep();
    }
  }

  /// Level 1 with the state of the finest mesh, which is returned.
  State start_partner() {
    Level& coarse = nest_.level(1);
    set_problem(nest_, coarse);
    coarse.state = interpolate(nest_.level(0).problem, nest_.level(0).state, coarse.problem);
    return coarse.state;
  }

  /// Along a slowly growing mode in pseudo-time, which follows slow changes.
  Departure drift(const Mode& mode) {
    Level& finest = nest_.level(0);
    const Level steady = finest;
    Attempt drifting(nest_);
    disturb(finest.state, mode);
    converge(nest_, 0, true, drift_steps);
    if (nest_.stopped() || (nest_.converged() && is_elsewhere(steady))) {
      drifting.keep();
      return nest_.stopped() ? Departure::back : Departure::elsewhere;
    }
    finest = steady;
    return Departure::back;
  }

  /// Along a growing mode in true time.
  Departure leave(const Mode& mode) {
    const std::array<Level, 2> steady = nest_.levels;
    const SolveReport judged = nest_.report;
    Attempt leaving(nest_);
    disturb(nest_.level(0).state, mode);
    const Level disturbed = nest_.level(0);
    const double step = step_share / std::hypot(mode.growth, mode.frequency);
    nest_.report.time_step = step;
    bool steadies = false;
    if (develop() && nest_.level(1).reached == Reached::steady) {
      converge(nest_, 0, false);
      steadies = nest_.converged() && is_elsewhere(steady[0]);
      nest_.level(0) = steadies ? nest_.level(0) : disturbed;
    }
    if (!steadies && !nest_.stopped()) {
      nest_.report.time_step = step;
      steadies = average(nest_, 0);
    }
    if (nest_.stopped()) {
      leaving.keep();
      return Departure::back;
    }
    if (steadies && is_elsewhere(steady[0])) {
      leaving.keep();
      return Departure::elsewhere;
    }
    if (!nest_.mean.settled || is_calm(nest_)) {
      nest_.levels = steady;
      return Departure::back;
    }
    // However little it sways, it is not the steady flow that disturbances leave.
    leaving.keep();
    take_mean(nest_);
    take_verdict(judged, nest_.report);
    forget_other_air();
    return Departure::mean;
  }

  /// Follows the finest mesh's air in true time on level 1, where steps cost a tenth; the finest
  /// mesh takes over what has changed there. True when level 1 came to its mean or to a steady
  /// flow.
  bool develop() {
    Level& coarse = nest_.level(1);
    Level& finest = nest_.level(0);
    const State start = start_partner();
    const bool steadies = average(nest_, 1);
    if (nest_.stopped() || (!steadies && !nest_.mean.settled)) {
      return false;
    }
    const State& end = steadies ? coarse.state : nest_.mean.last;
    coarse.reached = steadies ? Reached::steady : Reached::mean;
    add_difference(finest.state, interpolate(coarse.problem, end, finest.problem),
                   interpolate(coarse.problem, start, finest.problem));
    set_problem(nest_, finest);
    return true;
  }

  /// The mean of level 1 belongs to that of the finest mesh as long as their air is the same.
  void forget_other_air() {
    Level& coarse = nest_.level(1);
    if (coarse.reached == Reached::mean && !have_same_air(coarse, nest_.level(0))) {
      coarse.reached = Reached::nothing;
    }
  }

  [[nodiscard]] bool is_elsewhere(const Level& steady) {
    return relative_difference(steady.problem, steady.state, nest_.level(0).state) > same_flow;
  }

  static void disturb(State& state, const Mode& mode) {
    for (std::size_t k = 0; k < state.psi.size(); ++k) {
      state.psi[k] += disturbance * mode.real.psi[k];
    }
    for (std::size_t k = 0; k < state.temperature.size(); ++k) {
      state.temperature[k] += disturbance * mode.real.temperature[k];
    }
  }

  static void take_verdict(const SolveReport& from, SolveReport& to) {
    to.stability_known = from.stability_known;
    to.growth = from.growth;
    to.frequency = from.frequency;
    to.searched = from.searched;
    to.unstable = from.unstable;
  }

  Nest& nest_;
};

} // namespace

void finish(Nest& nest, const Solution* warm) {
  Way(nest).finish(warm);
}

void settle(Nest& nest) {
  Way(nest).settle();
}

} // namespace tiltfin
