// The measured figures of solver/MEASURED.md: `cmake --build build --target bench`. Prints, asserts
// nothing.
#include "cases/run/run.hpp"
#include "post/numbers/balances.hpp"
#include "solver/assembly.hpp"
#include "solver/linear.hpp"
#include "solver/scales.hpp"
#include "solver/steady.hpp"
#include "tests/bench/bench_factors.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <string>
#include <utility>

#include <sys/resource.h>

namespace {

using namespace tiltfin;

double now() {
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Of all threads.
double processor_seconds() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  const auto seconds = [](const timeval& time) {
    return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
  };
  return seconds(usage.ru_utime) + seconds(usage.ru_stime);
}

double peak_memory_gib() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / (1024.0 * 1024.0);
}

/// Square cavity of side 1 with hot west and cold east wall, in units in which Nu is the wall heat.
void cavity() {
  Section section;
  section.width = 1.0;
  section.height = 1.0;
  section.sides[west] = {SideKind::isothermal, 300.5, 0.0};
  section.sides[east] = {SideKind::isothermal, 299.5, 0.0};
  const double rayleigh = 1e6;
  const double prandtl = 0.71;
  AirRule air{AirProperties{1.0, 1.0, 1.0, prandtl, 1.0, 300.0}, 300.0};
  NestedOptions options;
  options.examine_stability = false;
  options.resolution.wall_cell = 0.003;
  options.resolution.largest_cell = 0.015;
  options.resolution.growth = 1.05;
  const double begin = now();
  const Solution solution = solve_nested(section, {0.0, -rayleigh * prandtl, 0.0}, air, options);
  const double seconds = now() - begin;
  const double nusselt = -side_heat(solution.problem, solution.state)[west];
  std::printf("square cavity Ra 1e6   %6d cells  Nu %.4f (%+.3f %% of 8.8252)  %.2f s, one core\n",
              solution.problem.mesh.n_cells(), nusselt, 100.0 * (nusselt / 8.8252 - 1.0), seconds);
}

/// Seven plates 60 x 1.5 mm with gaps of 6 mm in a box of 120 mm with walls at room temperature.
Section stack_in_a_box() {
  Section section;
  section.width = 0.120;
  section.height = 0.120;
  for (Side& side : section.sides) {
    side.kind = SideKind::isothermal;
  }
  const double pitch = 0.0075;
  const double first = 0.060 - 0.5 * (6.0 * pitch + 0.0015);
  for (int k = 0; k < 7; ++k) {
    Solid plate;
    plate.name = "plate-" + std::to_string(k + 1);
    plate.extent = {first + k * pitch, first + k * pitch + 0.0015, 0.030, 0.090};
    plate.conductivity_x = 200.0;
    plate.conductivity_y = 200.0;
    plate.heat_share = 1.0 / 7.0;
    plate.role = Role::fin;
    section.solids.push_back(plate);
  }
  section.base = 3;
  return section;
}

Condition condition(const char* orientation, double power) {
  const Vector3 down = named_orientation(orientation).down;
  return {standard_gravity * down[0], standard_gravity * down[1], power};
}

double rise(const Solution& solution) {
  return solid_temperature(solution.problem, solution.state, 3).mean - 298.15;
}

void stack() {
  const Section section = stack_in_a_box();
  NestedOptions options;
  options.examine_stability = false;
  options.resolution.largest_cell = 0.0016;
  for (const char* orientation : {"upright", "flat-up"}) {
    double begin = now();
    const Solution cold = solve_nested(section, condition(orientation, 20.0), {}, options);
    const double cold_seconds = now() - begin;
    begin = now();
    const Solution warm = solve_nested(section, condition(orientation, 30.0), {}, options, &cold);
    const double warm_seconds = now() - begin;
    std::printf(
        "stack of 7, %-8s   %6d cells  20 W/m: %.2f K %s in %.2f s cold;  30 W/m: %.2f K %s "
        "in %.2f s warm, one core\n",
        orientation, cold.problem.mesh.n_cells(), rise(cold), name(cold.report.status),
        cold_seconds, rise(warm), name(warm.report.status), warm_seconds);
  }
}

/// Seconds of one Newton step: refill, factors, solution; the best of fifteen, for the machine is
/// shared.
double newton_step_seconds(const Problem& problem) {
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = pack(unknowns, rest_state(problem, 298.15));
  Jacobian jacobian = make_jacobian(problem, unknowns);
  LinearSolver solver(jacobian.matrix, scale_vector(problem, unknowns, {2e-5, 1.0}));
  double best = 1e9;
  for (int k = 0; k < 15; ++k) {
    const double begin = now();
    const std::vector<double> f = refill(problem, unknowns, z, {1000.0, {}}, jacobian);
    if (!solver.factor(jacobian.matrix)) {
      std::printf("singular\n");
    }
    (void)solver.solve(f);
    best = std::min(best, now() - begin);
  }
  return best;
}

/// What radiation costs on the finest mesh of a shipped case.
void radiation() {
  const Case the_case = read_case("cases/observatory-stack.toml");
  Section section = the_case.panels.front().sections.front();
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  const AirProperties air = air_at(310.0, 298.15);
  const double begin = now();
  const RadiantZones zones = make_radiant_zones(section, mesh);
  const double zone_seconds = now() - begin;
  const double with =
      newton_step_seconds(make_problem(section, mesh, condition("upright", 20.0), air));
  for (Solid& solid : section.solids) {
    solid.emissivity = 0.0;
  }
  const double without =
      newton_step_seconds(make_problem(section, mesh, condition("upright", 20.0), air));
  std::printf("radiation  %d cells, %d zones: view factors %.3f s, Newton step %.3f s, without "
              "radiation %.3f s (%+.0f %%)\n",
              mesh.n_cells(), zones.n(), zone_seconds, with, without,
              100.0 * (with / without - 1.0));
}

/// Cost of a cold solve against the number of cells.
void growth() {
  const Section section = stack_in_a_box();
  double first_cells = 0.0;
  double first_seconds = 0.0;
  for (const double refinement : {1.0, 1.41421356, 2.0, 2.82842712, 4.0}) {
    NestedOptions options;
    options.examine_stability = false;
    options.resolution.cells_per_gap = static_cast<int>(std::lround(8.0 * refinement));
    options.resolution.cells_per_sheet = static_cast<int>(std::lround(2.0 * refinement));
    options.resolution.wall_cell = 0.00075 / refinement;
    options.resolution.largest_cell = 0.0016 / refinement;
    options.resolution.growth = 1.0 + 0.2 / refinement;
    const double begin = now();
    const Solution solution = solve_nested(section, condition("upright", 20.0), {}, options);
    const double seconds = now() - begin;
    const double cells = solution.problem.mesh.n_cells();
    if (first_cells == 0.0) {
      first_cells = cells;
      first_seconds = seconds;
    }
    std::printf("stack of 7, upright   %7.0f cells  %7.2f s  %3d factorisations  %s, rise %.3f K",
                cells, seconds, solution.report.factorisations, name(solution.report.status),
                rise(solution));
    if (cells > first_cells) {
      std::printf(", cost ~ cells^%.2f since the first",
                  std::log(seconds / first_seconds) / std::log(cells / first_cells));
    }
    std::printf("\n");
  }
}

/// A hundred and fifty thousand cells from rest.
void large() {
  const Section section = stack_in_a_box();
  NestedOptions options;
  options.examine_stability = false;
  options.resolution = with_cells_scaled(section, options.resolution, 1.0 / 5.1);
  const double begin = processor_seconds();
  const Solution solution = solve_nested(section, condition("upright", 20.0), {}, options);
  std::printf("stack of 7, upright   %7d cells  %7.2f s of processor time from rest  %s, rise %.3f "
              "K, peak memory %.2f GiB\n",
              solution.problem.mesh.n_cells(), processor_seconds() - begin,
              name(solution.report.status), rise(solution), peak_memory_gib());
}

/// One condition of the demo from rest, on one core and on all.
void cores() {
  const Case demo_case = read_case("cases/observatory-stack.toml");
  RunOptions options;
  options.examine_stability = false;
  options.only = {"on_flat-up_10w"};
  std::array<double, 2> seconds{};
  for (const int jobs : {1, 0}) {
    options.jobs = jobs;
    const double begin = now();
    (void)run_case(demo_case, options, [](const Progress&) {});
    seconds[jobs == 1 ? 0 : 1] = now() - begin;
  }
  std::printf("demo, one condition from rest: %.2f s on one core, %.2f s on all (%.2f times)\n",
              seconds[0], seconds[1], seconds[0] / seconds[1]);
}

void demo() {
  const Case demo_case = read_case("cases/observatory-stack.toml");
  const double begin = now();
  const std::vector<Outcome> outcomes = run_case(demo_case, {}, [](const Progress&) {}).outcomes;
  const double seconds = now() - begin;
  double balance = 0.0;
  double mass = 0.0;
  int cells = 0;
  for (const Outcome& outcome : outcomes) {
    if (outcome.status == SolveStatus::converged) {
      balance = std::max(balance, outcome.balance_error);
    }
    mass = std::max(mass, outcome.mass_error);
    cells = std::max(cells, outcome.cells);
  }
  std::printf("demo, all cores        %6d cells  %zu conditions  %.1f s  peak memory %.2f GiB  "
              "worst heat balance %.1e  worst mass error %.1e\n",
              cells, outcomes.size(), seconds, peak_memory_gib(), balance, mass);
}

} // namespace

/// All parts, or those named on the command line.
int main(int argc, char** argv) {
  std::setvbuf(stdout, nullptr, _IOLBF, 0);
  const auto is_wanted = [&](const std::string& part) {
    return argc < 2 || std::find(argv + 1, argv + argc, part) != argv + argc;
  };
  const std::array<std::pair<const char*, void (*)()>, 8> parts{{{"factors", bench_factors},
                                                                 {"cavity", cavity},
                                                                 {"stack", stack},
                                                                 {"cores", cores},
                                                                 {"demo", demo},
                                                                 {"growth", growth},
                                                                 {"radiation", radiation},
                                                                 {"large", large}}};
  for (const auto& [name, run] : parts) {
    if (is_wanted(name)) {
      run();
    }
  }
  return 0;
}
