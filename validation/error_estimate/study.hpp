#pragma once
// The cases, meshes and quantities of the study of the error estimate.

#include "solver/stability.hpp"

#include "validation/cavity.hpp"

namespace tiltfin::validation {

/// Of the march of a true mean: a third of what the solver asks for, so that its own sampling hides
/// fewer pairs.
inline constexpr double longer_drift = 0.001;

/// The longest step of that march, times the flow's rate: the solver's own.
inline constexpr double longest_step = 0.5;

/// One condition of a case file, the meshes on which its estimate is tested, and the one that
/// stands for the truth.
struct Setup {
  std::string name;
  std::string file;
  std::string orientation = "upright"; ///< a name, or "45 degrees" of tilt
  double power = 0.0;                  ///< [W]
  double gravity = 1.0;                ///< times the case's own
  std::vector<double> coarsening{2.0}; ///< cells this much wider than the case's, each a mesh
  double reference = 0.5;              ///< the same for the truth
  Measure measure;
  std::function<void(Section&)> change = [](Section&) {};
  bool examine = false; ///< the flow that air does not leave; else a steady one, whatever its
                        ///< stability
};

inline Orientation standing(const std::string& words) {
  return words.ends_with(" degrees") ? tilted_orientation(std::stod(words))
                                     : named_orientation(words);
}

/// A setup on one mesh: everything that the solver asks for.
struct Task {
  Section section;
  Condition condition;
  AirRule air;
  NestedOptions options;

  /// The condition on a mesh of the nest with the air of another solution of it.
  [[nodiscard]] Problem problem(int level, const AirProperties& its_air) const {
    return make_problem(section, make_mesh(section, options.resolution, level), condition, its_air,
                        options.calm);
  }
};

/// The setup's condition with cells `factor` times as wide as the case's.
inline Task task_of(const Setup& setup, double factor) {
  const Case the_case = read_case(setup.file);
  Task task{.section = the_case.panels[0].sections.front(),
            .condition = {},
            .air = {the_case.air, the_case.room_temperature},
            .options = {}};
  setup.change(task.section);
  for (Solid& solid : task.section.solids) { // the study is of convection and conduction
    solid.emissivity = 0.0;
  }
  for (Side& side : task.section.sides) {
    side.emissivity = 0.0;
  }
  const auto role = [&](int solid) { return task.section.solids[solid].role; };
  std::erase_if(task.section.contacts, [&](const Contact& contact) { // as where truth was computed
    return role(contact.solid_a) == Role::board && role(contact.solid_b) == Role::source;
  });
  const Vector3 down = standing(setup.orientation).down;
  const double gravity = the_case.gravity * setup.gravity;
  task.condition = {gravity * down[0], gravity * down[1], setup.power};
  task.options.examine_stability = setup.examine;
  task.options.resolution = with_cells_scaled(task.section, the_case.resolution, factor);
  task.options.calm = the_case.calm;
  return task;
}

/// The setup on a mesh under test, from rest: steady or, where that is asked for, a mean.
inline Solution solve_setup(const Setup& setup, double factor) {
  const Task task = task_of(setup, factor);
  Solution solution = solve_nested(task.section, task.condition, task.air, task.options);
  CAPTURE(setup.name, factor);
  REQUIRE((solution.report.status == SolveStatus::converged ||
           (setup.examine && solution.report.status == SolveStatus::time_average)));
  return solution;
}

/// The steady flow of `tested` on the mesh that stands for the truth, and on its partner; status
/// time_average where there is none.
inline Solution solve_truth(const Setup& setup, const Solution& tested) {
  Task task = task_of(setup, setup.reference);
  task.options.examine_stability = false; // the same flow
  Solution start;
  start.report.status = SolveStatus::converged;
  start.film_temperature = tested.film_temperature;
  start.problem = task.problem(0, tested.problem.air);
  start.state = interpolate(tested.problem, tested.state, start.problem);
  start.coarse_problem = task.problem(1, tested.problem.air);
  start.coarse_state = interpolate(tested.problem, tested.state, *start.coarse_problem);
  return solve_nested(task.section, task.condition, task.air, task.options, &start);
}

/// The mean that `tested` is on the mesh that stands for the truth, or on its partner (`level` 1):
/// marched longer, with the air and the upwinding of `tested`. Its report says what it is uncertain
/// by.
inline Solution march_truth(const Setup& setup, const Solution& tested, int level) {
  const Task task = task_of(setup, setup.reference);
  Solution truth;
  truth.problem = task.problem(level, tested.problem.air);
  truth.problem.heat_peclet = tested.problem.heat_peclet;
  truth.state = interpolate(tested.problem, tested.state, truth.problem);
  MarchOptions options;
  options.step =
      std::min(tested.report.time_step, longest_step / time_scale_rate(truth.problem, truth.state));
  options.drift = longer_drift;
  truth.report = march_average(truth.problem, truth.state, options);
  CAPTURE(setup.name, level);
  REQUIRE(truth.report.status == SolveStatus::time_average);
  return truth;
}

/// Heat through the west side and the strongest eddy, of a cavity.
inline Quantities eddy(const Problem& problem, const State& state) {
  return {{"heat", std::abs(side_heat(problem, state)[west])},
          {"circulation", largest_psi(problem.mesh, state.psi)}};
}

inline Quantities heat_alone(const Problem& problem, const State& state) {
  return {{"heat", std::abs(side_heat(problem, state)[west])}};
}

/// Heat through the west side and the air that rises through the section.
inline Quantities channel_flow(const Problem& problem, const State& state) {
  const auto [low, high] = std::minmax_element(state.psi.begin(), state.psi.end());
  return {{"heat", std::abs(side_heat(problem, state)[west])}, {"draft", *high - *low}};
}

/// The same and the largest rising speed: over all rows of faces, the peak of each.
inline Quantities eddy_and_speed(const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  const std::vector<double> v = velocity_y(mesh, state);
  std::vector<double> x;
  for (int i = 0; i < mesh.x.n(); ++i) {
    x.push_back(mesh.x.centre(i));
  }
  double largest = 0.0;
  for (int j = 1; j < mesh.y.n(); ++j) {
    const auto row = v.begin() + problem.face_y(0, j);
    largest = std::max(largest, peak(x, {row, row + mesh.x.n()}).value);
  }
  Quantities all = eddy(problem, state);
  all["largest speed"] = largest;
  return all;
}

/// Rise of the case's base above the room [K], and the strongest eddy.
inline Measure cooler(const std::string& file, bool with_circulation) {
  const Case the_case = read_case(file);
  const int base = the_case.panels[0].sections.front().base;
  const double room = the_case.room_temperature;
  return [=](const Problem& problem, const State& state) -> Quantities {
    Quantities all{{"rise", solid_temperature(problem, state, base).mean - room}};
    if (with_circulation) {
      all["circulation"] = largest_psi(problem.mesh, state.psi);
    }
    return all;
  };
}

/// Cavities, channel, plate and fin, on coarse meshes.
inline std::vector<Setup> plain_setups() {
  std::vector<Setup> all;
  for (const char* rayleigh : {"1e4", "1e5", "1e6"}) {
    all.push_back({std::string("square cavity Ra ") + rayleigh,
                   "validation/square_cavity/case.toml",
                   "upright",
                   0.0,
                   std::stod(rayleigh) / 1e6,
                   {4.0, 2.0},
                   0.5,
                   eddy_and_speed});
  }
  all.push_back({"conducting block k* 5",
                 "validation/conducting_block/case.toml",
                 "upright",
                 0.0,
                 1.0,
                 {3.5, 2.0},
                 0.5,
                 eddy,
                 [](Section& section) {
                   section.solids[0].conductivity_x *= 5.0;
                   section.solids[0].conductivity_y *= 5.0;
                 }});
  all.push_back({"conducting wall Gr 1e6 Kr 5",
                 "validation/conducting_wall/case.toml",
                 "upright",
                 0.0,
                 1.0,
                 {3.0, 2.0},
                 0.5,
                 eddy});
  all.push_back({"vertical channel El 46.46",
                 "validation/vertical_channel/case.toml",
                 "upright",
                 0.0,
                 46.46 / 25.0,
                 {2.5, 1.5},
                 0.5,
                 channel_flow});
  for (const char* rayleigh : {"1e4", "1e5", "1e6"}) {
    all.push_back({std::string("open cavity Ra ") + rayleigh,
                   "validation/open_cavity/case.toml",
                   "upright",
                   0.0,
                   std::stod(rayleigh) / 1e6,
                   {3.0, 1.5},
                   0.5,
                   heat_alone});
  }
  all.push_back({"isothermal plate Ra 1e8",
                 "validation/isothermal_plate/case.toml",
                 "upright",
                 0.0,
                 1.0,
                 {2.5, 1.5},
                 0.5,
                 heat_alone});
  all.push_back({"straight fin mL 4",
                 "validation/fin_efficiency/case.toml",
                 "upright",
                 0.0,
                 1.0,
                 {4.0, 2.0},
                 0.5,
                 heat_alone,
                 [](Section& section) {
                   section.sides[south].film *= 16.0;
                   section.sides[north].film *= 16.0;
                 }});
  return all;
}

/// Combs, stacks and blocks, on the mesh of their case and a coarser one.
inline std::vector<Setup> cooler_setups() {
  std::vector<Setup> all;
  for (const char* orientation : {"upright", "flat-up", "flat-down"}) {
    all.push_back({std::string("comb in a box ") + orientation,
                   "cases/drawn-comb.toml",
                   orientation,
                   20.0,
                   1.0,
                   {1.5, 1.0},
                   0.25,
                   cooler("cases/drawn-comb.toml", true)});
  }
  for (const char* orientation : {"upright", "flat-up"}) {
    all.push_back({std::string("stack in a box ") + orientation,
                   "validation/error_estimate/case.toml",
                   orientation,
                   20.0,
                   1.0,
                   {1.5, 1.0},
                   0.35,
                   cooler("validation/error_estimate/case.toml", true)});
  }
  for (const char* orientation : {"upright", "flat-up", "flat-down"}) {
    all.push_back({std::string("block in a room ") + orientation,
                   "cases/edge-on-block.toml",
                   orientation,
                   8.0,
                   1.0,
                   {1.5, 1.0},
                   0.4,
                   cooler("cases/edge-on-block.toml", false)});
  }
  return all;
}

/// Coolers in closed boxes at more powers and tilted, on the mesh of their case and a coarser one.
inline std::vector<Setup> closed_setups() {
  const auto add = [](std::vector<Setup>& all, const std::string& what, const std::string& file,
                      const std::string& orientation, double power, double reference) {
    all.push_back({what + " " + orientation + " " + print("%g W", power),
                   file,
                   orientation,
                   power,
                   1.0,
                   {1.5, 1.0},
                   reference,
                   cooler(file, true)});
  };
  std::vector<Setup> all;
  for (const char* orientation : {"upright", "flat-up", "flat-down"}) {
    for (const double power : {5.0, 40.0}) {
      add(all, "comb in a box", "cases/drawn-comb.toml", orientation, power, 0.4);
    }
  }
  for (const char* orientation : {"45 degrees", "-45 degrees"}) {
    for (const double power : {5.0, 10.0}) { // with more power it is not steady
      add(all, "comb in a box", "cases/drawn-comb.toml", orientation, power, 0.4);
    }
  }
  for (const char* orientation : {"upright", "flat-up", "45 degrees"}) {
    for (const double power : {5.0, 10.0}) {
      add(all, "stack in a box", "validation/error_estimate/case.toml", orientation, power, 0.5);
    }
  }
  return all;
}

/// Conditions whose steady flow air leaves, on most meshes for a mean.
inline std::vector<Setup> mean_setups() {
  std::vector<Setup> all;
  const auto add = [&all](const std::string& what, const std::string& file,
                          const std::string& orientation, double power,
                          const std::vector<double>& coarsening) {
    all.push_back({what + " " + orientation + print(" %g W", power) + " followed", file,
                   orientation, power, 1.0, coarsening, 0.5 * coarsening.back(),
                   cooler(file, false)});
    all.back().examine = true;
  };
  const std::string comb = "cases/drawn-comb.toml";
  for (const double power : {10.0, 20.0, 40.0}) {
    add("comb in a box", comb, "45 degrees", power, {2.0, 1.5, 1.0});
  }
  for (const char* orientation : {"30 degrees", "60 degrees"}) {
    add("comb in a box", comb, orientation, 20.0, {2.0, 1.5, 1.0});
  }
  add("small block in a case", "cases/small-block.toml", "flat-up", 25.0, {2.0, 1.5});
  add("small block in a case", "cases/small-block.toml", "flat-down", 25.0, {2.0});
  return all;
}

inline std::vector<Setup> setups() {
  std::vector<Setup> all = plain_setups();
  for (const std::vector<Setup>& more : {cooler_setups(), closed_setups(), mean_setups()}) {
    all.insert(all.end(), more.begin(), more.end());
  }
  return all;
}

} // namespace tiltfin::validation
