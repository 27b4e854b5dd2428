#include "solver/steady.hpp"
#include "tests/solver/fixtures.hpp"

#include <atomic>
#include <cmath>
#include <limits>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double metal = 40.0; ///< heat capacity over that of the air

/// A heated block in a closed box whose sides let nothing through.
Section sealed_box() {
  Section section = empty_box();
  section.solids = {solid({0.3, 0.5, 0.2, 0.5}, 20.0, 1.0)};
  return section;
}

Problem with_metal(Problem problem) {
  problem.metal_capacity.assign(at(problem.mesh.n_cells()), metal);
  return problem;
}

/// Heat stored since all was at the room's temperature.
double stored(const Problem& problem, const State& state) {
  double sum = 0.0;
  const double air = problem.air.density * problem.air.heat_capacity;
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      const int cell = problem.mesh.cell(i, j);
      sum += (problem.mesh.is_air(i, j) ? air : metal) * problem.mesh.x.width(i) *
             problem.mesh.y.width(j) * (state.temperature[at(cell)] - room);
    }
  }
  return sum;
}

void ignore(double /*time*/, const State& /*state*/) {}

} // namespace

TEST_CASE("Record: what is released is stored, in metal with its own capacity", "[record]") {
  const Problem problem = with_metal(rough_problem(sealed_box(), tilted(20.0, 1e4, 1.0)));
  RecordOptions options;
  options.times_s = {0.1, 0.2, 0.4, 0.8, 2.0};
  options.tolerance = 1e-9; // of temperatures relative to their range: far below the check's
  State state = rest_state(problem, room);
  int frames = 0;
  const SolveReport report =
      record_march(problem, state, options, [&](double time, const State& frame) {
        // The air lets nothing out, so the balance of every step is exact but for the tolerance.
        CHECK_THAT(stored(problem, frame), WithinRel(time, 1e-6));
        ++frames;
      });
  CHECK(report.status == SolveStatus::converged);
  CHECK(frames == 5);
}

TEST_CASE("Record: a start from cold ends at the steady state", "[record]") {
  const Problem problem = with_metal(rough_problem(furnished_box(), tilted(37.0, 1e4, 1.0)));
  State steady = rest_state(problem, room);
  REQUIRE(solve_steady(problem, steady).status == SolveStatus::converged);
  RecordOptions options;
  for (double time = 0.05; time < 200.0; time *= 1.5) { // 40 capacities over the sides' 5 or so
    options.times_s.push_back(time);
  }
  State state = rest_state(problem, room);
  double last = room;
  CHECK(record_march(problem, state, options, [&](double, const State& frame) {
          const double hottest = largest(frame.temperature);
          CHECK(hottest > last - 1e-3); // it only warms up
          last = hottest;
        }).status == SolveStatus::converged);
  CHECK_THAT(largest(state.temperature) - room,
             WithinRel(largest(steady.temperature) - room, 2e-3)); // twice a step's tolerance
}

TEST_CASE("Record: metal follows more slowly the more it stores", "[record]") {
  const Problem problem = rough_problem(furnished_box(), tilted(0.0, 1e4, 1.0));
  RecordOptions options;
  options.times_s = {0.2};
  State light = rest_state(problem, room);
  State heavy = light;
  CHECK(record_march(problem, light, options, ignore).status == SolveStatus::converged);
  CHECK(record_march(with_metal(problem), heavy, options, ignore).status == SolveStatus::converged);
  CHECK(largest(heavy.temperature) - room < 0.5 * (largest(light.temperature) - room) + 0.5);
}

TEST_CASE("Record: a request to stop is obeyed, and a start that is no number fails", "[record]") {
  const Problem problem = rough_problem(furnished_box(), tilted(0.0, 1e4, 1.0));
  const std::atomic<bool> stop = true;
  RecordOptions options;
  options.times_s = {1.0};
  options.steady.stop = &stop;
  State state = rest_state(problem, room);
  CHECK(record_march(problem, state, options, ignore).status == SolveStatus::stopped);
  options.steady.stop = nullptr;
  state.temperature.front() = std::numeric_limits<double>::quiet_NaN();
  CHECK(record_march(problem, state, options, ignore).status == SolveStatus::not_converged);
}

TEST_CASE("Record: walls, boards and fins store what their metal does", "[record]") {
  Section section = furnished_box();
  section.solids[0].role = Role::wall;
  section.solids[1].role = Role::board;
  Problem problem = rough_problem(section, tilted(0.0, 1e3));
  set_metal_capacity(section, problem);
  const auto of = [&](double x, double y) {
    for (int j = 0; j < problem.mesh.y.n(); ++j) {
      for (int i = 0; i < problem.mesh.x.n(); ++i) {
        if (problem.mesh.x.faces[at(i)] <= x && x < problem.mesh.x.faces[at(i) + 1] &&
            problem.mesh.y.faces[at(j)] <= y && y < problem.mesh.y.faces[at(j) + 1]) {
          return problem.metal_capacity[at(problem.mesh.cell(i, j))];
        }
      }
    }
    return 0.0;
  };
  // Handbook values, from memory: steel 3.6, epoxy laminate 2.0, aluminium 2.4 MJ/(m3 K), to 5 %.
  CHECK_THAT(of(0.25, 0.4), WithinRel(3.6e6, 0.05));
  CHECK_THAT(of(0.4, 0.35), WithinRel(2.0e6, 0.05));
  CHECK_THAT(of(0.7, 0.5), WithinRel(2.4e6, 0.05));
}
