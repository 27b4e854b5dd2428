#pragma once
// From a start to the steady state: pseudo-time that ends in Newton's method, on nested meshes, and
// a true-time march where no steady state is found.

#include "solver/condition.hpp"
#include "solver/unknowns.hpp"

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

enum class SolveStatus {
  converged,
  time_average, ///< no steady state found: mean over a true-time march, with its fluctuation
  not_converged,
  stopped ///< the caller asked to stop
};

[[nodiscard]] const char* name(SolveStatus status);

struct SolveReport {
  SolveStatus status = SolveStatus::not_converged;
  int steps = 0;            ///< pseudo-time and Newton steps on the finest mesh
  int factorisations = 0;   ///< on all meshes
  double residual = 0.0;    ///< largest relative residual of any row [-]
  double seconds = 0.0;     ///< wall time
  double time_step = 0.0;   ///< typical pseudo-time step of the last part of the way [s]
  double fluctuation = 0.0; ///< of the hottest temperature, standard deviation [K]
  double sampling = 0.0;    ///< of a mean: how uncertain it is from so short a march [K]
  double stored = 0.0;      ///< of a mean: heat stored meanwhile over heat released [-]
  double averaged = 0.0;    ///< of a mean: time that it was taken over [s]
  bool left_start = false;  ///< a neighbour's solution led nowhere: solved from rest

  /// The least stable mode of the machine's air in the steady state on the finest mesh, of that
  /// which was left for a time average.
  bool stability_known = false; ///< false: not examined
  double growth = 0.0;          ///< positive: small disturbances grow [1/s]
  double frequency = 0.0;       ///< [rad/s]
  double searched = 0.0;        ///< frequency up to which none was missed [rad/s]
  bool unstable = false;        ///< grows faster than a thousandth of the flow's own rate
  bool sways = false;           ///< disturbances grow, but to nothing that a bench would see
};

struct SteadyOptions {
  int max_steps = 150;          ///< per mesh
  double relative_change = 0.3; ///< wanted largest relative change per pseudo-time step
  bool cold = true;             ///< pseudo-time from a small step; false: try Newton at once
  double tolerance = 1e-9;      ///< largest relative residual of any row at convergence
  const std::atomic<bool>* stop = nullptr;
  std::function<void(const SolveReport&)> watch; ///< called after every step
};

/// Steady state of `problem` from `start`. The state reached is left in `state` whatever the
/// status.
[[nodiscard]] SolveReport solve_steady(const Problem& problem, State& state,
                                       const SteadyOptions& options = {});

struct MarchOptions {
  double step = 0.05;      ///< [s]
  int window = 50;         ///< steps of one average
  int max_windows = 40;    ///< a puffing plume took more than twelve
  double drift = 0.003;    ///< two stretches of windows agree when the hottest temperature's mean
                           ///< moves less than this share of its excess over the coldest
  double stored = 0.02;    ///< and no more heat is stored than this share of what is released
  double tolerance = 1e-3; ///< of a step's solution, relative to the ranges: below the fluctuation
  SteadyOptions steady;    ///< its stop flag and watcher
};

/// Marches `problem` in true time from `state` (second-order backward differences; solids take the
/// heat capacity of air, so only the means and the air's fluctuation have meaning) until the means
/// of two stretches agree and hardly any heat is stored, and leaves the mean of the last stretch in
/// `state` and, where it is asked for, the state of its end in `last`. A stretch is one window, and
/// grows to a third of all when these do not agree. Status time_average, or not_converged when the
/// means still drift.
[[nodiscard]] SolveReport march_average(const Problem& problem, State& state,
                                        const MarchOptions& options, State* last = nullptr);

struct RecordOptions {
  std::vector<double> times_s; ///< ascending, above 0
  int steps_between = 4;       ///< two of them, or more where so few fail
  double tolerance = 1e-3;     ///< as MarchOptions
  SteadyOptions steady;        ///< its stop flag and watcher
};

/// Marches `problem` in true time from `state` at time 0 and hands over the state at each of the
/// times; with Problem::metal_capacity a start from cold as it is. Second-order backward
/// differences where the times are evenly spaced; each change of the step begins with one of
/// implicit Euler. The state reached is left in `state`. Status converged at the last time,
/// stopped, or not_converged where no step size serves.
[[nodiscard]] SolveReport record_march(const Problem& problem, State& state,
                                       const RecordOptions& options,
                                       const std::function<void(double, const State&)>& frame);

/// What a condition was solved to: everything a report needs. Of a body that a fan of sections
/// stands for (`others`): the section nearest to the vertical plane, with the report of all
/// together.
struct Solution {
  Problem problem; ///< on the finest mesh
  State state;
  SolveReport report;
  std::optional<Problem> coarse_problem; ///< half the cells each way or more, solved as well
  std::optional<State> coarse_state;
  double coarse_ratio = 2.0;     ///< widths of its cells over those of the finest mesh
  double film_temperature = 0.0; ///< [K]
  std::vector<Solution> others;  ///< sections of the fan, by angle; none: no fan
  FanPart part;                  ///< this section's place in the fan; without one of no meaning
  SolveReport own_report;        ///< of this section alone, in a fan
};

/// Where air properties come from: constants, or the tables at the film temperature.
struct AirRule {
  std::optional<AirProperties> constants;
  double room_temperature = 298.15; ///< [K]
};

struct NestedOptions {
  SteadyOptions steady;
  bool examine_stability = true; ///< and leave steady states that real air leaves
  CalmRoom calm;
  Resolution resolution;
  double blend_peclet = 20.0; ///< see Problem: of momentum, and of heat to begin with
};

/// Solves one condition on the nested meshes of `section`, coarse to fine, updating the air's
/// properties until the film temperature stands still; from rest, or from `warm`, the converged
/// solution of a neighbouring condition on the same section. Where air comes out too cold
/// (solver/bounds), heat is carried with more upwinding until it does not. Disturbances of a steady
/// state are judged on the finest mesh; where they swing and grow there but not on a mesh of 1.5
/// times as many cells each way, that mesh has the result. Else a steady state whose disturbances
/// grow is left along the growing mode in true time, for another steady state or for a time
/// average, of the finest mesh and of its coarse partner; heat balances of such a mean are not
/// exact.
[[nodiscard]] Solution solve_nested(const Section& section, const Condition& condition,
                                    const AirRule& air, const NestedOptions& options,
                                    const Solution* warm = nullptr);

/// A state on any mesh of the section.
struct Start {
  const Problem& problem;
  const State& state;
  double film_temperature = 0.0; ///< [K]
};

/// The same from `start` in place of rest: the flow that lies nearest to it, in pseudo-time.
[[nodiscard]] Solution solve_nested_from(const Section& section, const Condition& condition,
                                         const AirRule& air, const NestedOptions& options,
                                         const Start& start);

/// Goes on where `solve_nested` ended that was not to examine stability: `steady` is its solution,
/// converged, of the same condition on the same section and resolution. Report of this part alone.
[[nodiscard]] Solution examine_nested(const Section& section, const Condition& condition,
                                      const AirRule& air, const NestedOptions& options,
                                      const Solution& steady);

/// The mean over time of a condition, or the steady flow that it comes to after all, from `mean`,
/// one on any mesh of the section; its report tells the step. What that says of stability stays.
[[nodiscard]] Solution follow_nested(const Section& section, const Condition& condition,
                                     const AirRule& air, const NestedOptions& options,
                                     const Solution& mean);

} // namespace tiltfin
