#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <atomic>
#include <limits>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// One step of the second-order backward rule of the march, solved to rounding.
std::vector<double> backward_step(const Problem& problem, const Unknowns& unknowns,
                                  const std::vector<double>& before, const std::vector<double>& now,
                                  double step, Jacobian& jacobian, LinearSolver& solver) {
  TimeTerm time;
  time.rate = 1.5 / step;
  time.history.resize(now.size());
  for (std::size_t k = 0; k < now.size(); ++k) {
    time.history[k] = (2.0 * now[k] - 0.5 * before[k]) / step;
  }
  std::vector<double> next = now;
  double change = 1.0;
  for (int iteration = 0; iteration < 12 && change > 1e-13 * largest(now); ++iteration) {
    const std::vector<double> f = refill(problem, unknowns, next, time, jacobian);
    REQUIRE(solver.factor(jacobian.matrix));
    const std::vector<double> dz = solver.solve(f);
    change = largest(dz);
    for (std::size_t k = 0; k < next.size(); ++k) {
      next[k] -= dz[k];
    }
  }
  REQUIRE(change <= 1e-11 * largest(now));
  return next;
}

/// The states after 0, 1, ... `steps` steps from `before` and `now`.
std::vector<std::vector<double>> march(const Problem& problem, std::vector<double> before,
                                       std::vector<double> now, double step, int steps) {
  const Unknowns unknowns = number_unknowns(problem);
  Jacobian jacobian = make_jacobian(problem, unknowns);
  LinearSolver solver(jacobian.matrix, std::vector<double>(at(unknowns.n), 1.0));
  std::vector<std::vector<double>> states{now};
  for (int k = 0; k < steps; ++k) {
    std::vector<double> next =
        backward_step(problem, unknowns, before, now, step, jacobian, solver);
    before = std::move(now);
    now = std::move(next);
    states.push_back(now);
  }
  return states;
}

struct Error {
  double temperature = 0.0;
  double psi = 0.0;
};

Error difference(const Unknowns& unknowns, const std::vector<double>& a,
                 const std::vector<double>& b) {
  return {largest_difference(temperature_rows(unknowns, a), temperature_rows(unknowns, b)),
          largest_difference(psi_rows(unknowns, a), psi_rows(unknowns, b))};
}

Problem even_problem(const Section& section, const Condition& condition, int nx, int ny) {
  return make_problem(
      section,
      mesh_on(section, graded_axis(section.width, nx, 0.0), graded_axis(section.height, ny, 0.0)),
      condition, round_air());
}

/// Still air that conducts from west to east: nothing starts with a jump.
State conducting(const Problem& problem) {
  State state = rest_state(problem, room);
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      state.temperature[at(problem.mesh.cell(i, j))] = room + 0.5 - problem.mesh.x.centre(i);
    }
  }
  return state;
}

Problem box_heated_from_below(double rayleigh) {
  Section section = empty_box();
  section.sides[south] = isothermal_side(room + 0.5);
  section.sides[north] = isothermal_side(room - 0.5);
  return make_problem(section,
                      mesh_on(section, graded_axis(1.0, 24, 0.7), graded_axis(1.0, 24, 0.7)),
                      tilted(0.0, rayleigh), round_air());
}

/// Still air that conducts upwards, a little warmer in the middle and unlike to both sides of it.
State uneven(const Problem& problem) {
  State state = rest_state(problem, room);
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const double angle = std::numbers::pi * problem.mesh.x.centre(i);
      state.temperature[at(problem.mesh.cell(i, j))] +=
          0.5 - problem.mesh.y.centre(j) + 0.05 * std::sin(angle) + 0.03 * std::cos(angle);
    }
  }
  return state;
}

struct Marched {
  State state;
  SolveReport report;
};

Marched average(const Problem& problem, State state, const MarchOptions& options) {
  const SolveReport report = march_average(problem, state, options);
  return {std::move(state), report};
}

Problem furnished_problem() {
  return rough_problem(furnished_box(), tilted(37.0, 1e4, 1.0));
}

State steady_state(const Problem& problem) {
  State state = rest_state(problem, room);
  REQUIRE(solve_steady(problem, state).status == SolveStatus::converged);
  return state;
}

MarchOptions short_windows(double step, int window) {
  MarchOptions options;
  options.step = step;
  options.window = window;
  return options;
}

/// Average of the box heated from below over two windows of 100 free-fall times or more, started
/// where an average before it has calmed down.
Marched settled_average(double rayleigh) {
  const Problem problem = box_heated_from_below(rayleigh);
  const double free_fall = 1.0 / std::sqrt(rayleigh * round_air().viscosity);
  const MarchOptions options = short_windows(0.1 * free_fall, 1000);
  return average(problem, average(problem, uneven(problem), options).state, options);
}

} // namespace

TEST_CASE("March: the backward rule is of second order in time", "[march]") {
  const Problem problem = even_problem(heated_box(), tilted(0.0, 1e4), 12, 12);
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> start = pack(unknowns, conducting(problem));
  // The roll turns in about 1/20 (speeds of some 20 diffusivities over the width): the steps must
  // be small beside that. Both runs begin amid the start-up, where the fine one, with steps of 1/8
  // and 1/4 of theirs, has been under way for a while.
  const double step = 0.000125;
  const int begin = 160;
  const int end = begin + 128;
  const auto fine = march(problem, start, start, step, end);
  const auto error = [&](int stride) {
    const auto coarse = march(problem, fine[at(begin - stride)], fine[at(begin)], stride * step,
                              (end - begin) / stride);
    return difference(unknowns, coarse.back(), fine.back());
  };
  const Error large = error(8);
  const Error small = error(4);
  REQUIRE(small.temperature > 1e-6); // far above the rounding of the steps
  // 1.9 of 2: the rest is for the third order of steps that are not small. The fine run's own error
  // makes the order look larger by log2((64 - 1) / (16 - 1) / 4) = 0.07, which is not allowed for.
  CHECK(std::log2(large.temperature / small.temperature) > 1.9);
  CHECK(std::log2(large.psi / small.psi) > 1.9);
}

TEST_CASE("March: means over a given time are of second order in the step", "[march]") {
  const Problem problem = even_problem(heated_box(), tilted(0.0, 1e4), 12, 12);
  const Unknowns unknowns = number_unknowns(problem);
  // One window of the start-up, begun amid it so that nothing jumps: the first, implicit Euler,
  // step and the trapezoids of the mean are part of what is measured.
  MarchOptions begin = short_windows(0.0005, 40);
  begin.max_windows = 1;
  const State start = average(problem, conducting(problem), begin).state;
  const auto mean = [&](int steps) {
    MarchOptions options = short_windows(0.016 / steps, steps);
    options.max_windows = 1;
    options.tolerance = 1e-9; // below the differences between the steps
    return pack(unknowns, average(problem, start, options).state);
  };
  const auto finest = mean(256);
  const Error large = difference(unknowns, mean(16), finest);
  const Error small = difference(unknowns, mean(32), finest);
  REQUIRE(small.temperature > 1e-6);
  // As above: 1.9 of 2; the finest run's own error adds log2((256 - 1) / (64 - 1) / 4) = 0.02.
  CHECK(std::log2(large.temperature / small.temperature) > 1.9);
  CHECK(std::log2(large.psi / small.psi) > 1.9);
}

TEST_CASE("March: a sine of temperature decays at the rate of conduction", "[march]") {
  // Carslaw and Jaeger, Conduction of Heat in Solids (1959), section 3.3: exp(-pi^2 a t / width^2).
  Section section = empty_box();
  section.sides[west] = isothermal_side(room);
  section.sides[east] = isothermal_side(room);
  const Problem problem = even_problem(section, {}, 40, 2);
  const Unknowns unknowns = number_unknowns(problem);
  const auto mode = [&](double time) {
    State state = rest_state(problem, room);
    const double size = std::exp(-std::numbers::pi * std::numbers::pi * time);
    for (int k = 0; k < problem.mesh.n_cells(); ++k) {
      const double x = problem.mesh.x.centre(k % problem.mesh.x.n());
      state.temperature[at(k)] += size * std::sin(std::numbers::pi * x);
    }
    return pack(unknowns, state);
  };
  const double step = 0.001;
  const auto states = march(problem, mode(-step), mode(0.0), step, 100);
  // Second differences on 40 cells slow the decay by (pi / 40)^2 / 12 = 5e-4, the backward rule
  // quickens or slows it by (pi^2 step)^2 / 3 = 3e-5; the exponent is about 1: 1e-3 of the start.
  CHECK(difference(unknowns, states.back(), mode(0.1)).temperature < 1e-3);
}

TEST_CASE("March: a steady state stays, and is its own mean", "[march]") {
  const Problem problem = furnished_problem();
  const State start = steady_state(problem);
  const Marched marched = average(problem, start, short_windows(0.02, 20));
  CHECK(marched.report.status == SolveStatus::time_average);
  CHECK(marched.report.steps == 2 * 20); // two windows, then they agree
  CHECK(marched.report.time_step == 0.02);
  CHECK(marched.report.averaged == 20 * 0.02); // the last of them
  // The steady state is solved to 1e-9 of the rows' terms; the temperatures range over 1 K.
  CHECK(marched.report.fluctuation < 1e-6);
  CHECK(largest_difference(marched.state.temperature, start.temperature) < 1e-6);
  const double range = largest(start.psi);
  REQUIRE(range > 0.1);
  CHECK(largest_difference(marched.state.psi, start.psi) < 1e-6 * range);
}

TEST_CASE("March: from rest the mean ends at the steady state where that is stable", "[march]") {
  const Problem problem = furnished_problem();
  const State steady = steady_state(problem);
  MarchOptions options = short_windows(0.01, 20); // heat crosses the box in about five windows
  options.stored = 1e-4;
  options.max_windows = 40;
  const Marched marched = average(problem, rest_state(problem, room), options);
  CHECK(marched.report.status == SolveStatus::time_average);
  CHECK(marched.report.steps > 2 * options.window); // the first two still warm up
  // Steps are solved to 1e-3 of the ranges, the heat balance to 1e-4.
  CHECK(largest_difference(marched.state.temperature, steady.temperature) < 2e-3);
}

TEST_CASE("March: a box heated from below is unsteady at Ra 1e8 and steady at Ra 1e5",
          "[march][slow]") {
  // Sugiyama et al., Phys. Rev. Lett. 105 (2010) 034503: in the square box at Pr 0.7 the large roll
  // wanders and reverses at Ra from 1e7 to 1e9; at 1e5 it is steady (both from memory).
  const Marched calm = settled_average(1e5);
  const Marched restless = settled_average(1e8);
  CHECK(calm.report.status == SolveStatus::time_average);
  CHECK(restless.report.status == SolveStatus::time_average);
  // Of the hottest air, in which walls 1 K apart leave little to fluctuate. A steady flow must have
  // less than the test above allows, an unsteady one a hundred times that.
  CHECK(calm.report.fluctuation < 1e-6);
  CHECK(restless.report.fluctuation > 1e-4);
}

TEST_CASE("March: stretches grow until the means of a restless flow agree", "[march][slow]") {
  // Windows of five free-fall times, far shorter than a turn of the wandering roll, hardly ever
  // agree one by one.
  const Problem problem = box_heated_from_below(1e8);
  const double free_fall = 1.0 / std::sqrt(1e8 * round_air().viscosity);
  const State begun = average(problem, uneven(problem), short_windows(0.1 * free_fall, 1000)).state;
  MarchOptions options = short_windows(0.1 * free_fall, 50);
  options.drift = 2e-4;
  options.max_windows = 60;
  const Marched marched = average(problem, begun, options);
  INFO(marched.report.steps << " steps, fluctuation " << marched.report.fluctuation);
  CHECK(marched.report.status == SolveStatus::time_average);
  CHECK(marched.report.steps >= 6 * options.window); // a stretch of two windows or more
}

TEST_CASE("March: one window alone is no average", "[march]") {
  const Problem problem = furnished_problem();
  MarchOptions options = short_windows(0.02, 5);
  options.max_windows = 1;
  const Marched marched = average(problem, steady_state(problem), options);
  CHECK(marched.report.status == SolveStatus::not_converged);
  CHECK(marched.report.steps == 5);
}

TEST_CASE("March: windows that still drift are not passed off as an average", "[march]") {
  const Problem problem = furnished_problem();
  MarchOptions options = short_windows(0.001, 5); // 0.01 of the warming-up in all
  options.max_windows = 2;
  const Marched marched = average(problem, rest_state(problem, room), options);
  CHECK(marched.report.status == SolveStatus::not_converged);
  CHECK(marched.report.steps == 2 * 5);
}

TEST_CASE("March: a request to stop is obeyed before the first step", "[march]") {
  const Problem problem = furnished_problem();
  const std::atomic<bool> stop{true};
  MarchOptions options = short_windows(0.02, 20);
  options.steady.stop = &stop;
  const State start = conducting(problem);
  const Marched marched = average(problem, start, options);
  CHECK(marched.report.status == SolveStatus::stopped);
  CHECK(marched.report.steps == 0);
  CHECK((marched.state.temperature == start.temperature));
}

TEST_CASE("March: a request to stop is obeyed within a window", "[march]") {
  const Problem problem = furnished_problem();
  std::atomic<bool> stop{false};
  int seen = 0;
  MarchOptions options = short_windows(0.02, 20);
  options.steady.stop = &stop;
  options.steady.watch = [&](const SolveReport& report) {
    seen = report.steps;
    stop = report.steps >= 7;
  };
  const Marched marched = average(problem, conducting(problem), options);
  CHECK(marched.report.status == SolveStatus::stopped);
  CHECK(seen == 7);
  CHECK(marched.report.steps == 7);
  CHECK(marched.state.temperature.size() == at(problem.mesh.n_cells()));
  CHECK(marched.state.psi.size() == at(problem.mesh.n_nodes()));
}

TEST_CASE("March: a start that is not a number ends as not converged", "[march]") {
  const Problem problem = furnished_problem();
  State state = rest_state(problem, room);
  state.temperature[0] = std::numeric_limits<double>::quiet_NaN();
  const Marched marched = average(problem, state, short_windows(0.02, 20));
  CHECK(marched.report.status == SolveStatus::not_converged);
}
