#pragma once
// The cases, meshes and quantities of the study of the error estimate.

#include "validation/cavity.hpp"

namespace tiltfin::validation {

/// One condition of a case file, the meshes on which its estimate is tested, and the one that
/// stands for the truth.
struct Setup {
  std::string name;
  std::string file;
  std::string orientation = "upright";
  double power = 0.0;                  ///< [W]
  double gravity = 1.0;                ///< times the case's own
  std::vector<double> coarsening{2.0}; ///< cells this much wider than the case's, each a mesh
  double reference = 0.5;              ///< the same for the truth
  Measure measure;
  std::function<void(Section&)> change = [](Section&) {};
};

/// The setup's condition with cells `factor` times as wide as the case's; from rest, or with the
/// flow of `warm`, a solution on another mesh.
inline Solution solve_setup(const Setup& setup, double factor, const Solution* warm = nullptr) {
  const Case the_case = read_case(setup.file);
  Section section = the_case.panels[0].sections.front();
  setup.change(section);
  for (Solid& solid : section.solids) { // the study is of convection and conduction
    solid.emissivity = 0.0;
  }
  for (Side& side : section.sides) {
    side.emissivity = 0.0;
  }
  const Vector3 down = named_orientation(setup.orientation).down;
  const double gravity = the_case.gravity * setup.gravity;
  const Condition condition{gravity * down[0], gravity * down[1], setup.power};
  NestedOptions options;
  options.examine_stability = false; // the error of steady flows, whatever their stability
  options.resolution = with_cells_scaled(section, the_case.resolution, factor);
  options.calm = the_case.calm;
  Solution start;
  if (warm != nullptr) {
    const auto carry_over = [&](int level) {
      return make_problem(section, make_mesh(section, options.resolution, level), condition,
                          warm->problem.air, options.calm);
    };
    start.report.status = SolveStatus::converged;
    start.film_temperature = warm->film_temperature;
    start.problem = carry_over(0);
    start.state = interpolate(warm->problem, warm->state, start.problem);
    start.coarse_problem = carry_over(1);
    start.coarse_state = interpolate(warm->problem, warm->state, *start.coarse_problem);
  }
  Solution solution = solve_nested(section, condition, {the_case.air, the_case.room_temperature},
                                   options, warm == nullptr ? nullptr : &start);
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
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

inline std::vector<Setup> setups() {
  std::vector<Setup> all = plain_setups();
  const std::vector<Setup> coolers = cooler_setups();
  all.insert(all.end(), coolers.begin(), coolers.end());
  return all;
}

} // namespace tiltfin::validation
