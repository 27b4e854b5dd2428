#include "cases/check/cost.hpp"

#include "cases/check/governing.hpp"
#include "cases/geometry/fan.hpp"
#include "cases/run/parallel.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/unknowns.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

namespace tiltfin {
namespace {

// Rules of cost, n unknowns on the finest mesh: the factors of a nested-dissection LU fill as
// n log2(n). Assembly takes n, the factors' n^1.6 operations run the faster the larger they are:
// together n, within a quarter from 6,500 (all three starters) to 290,000 unknowns (a steady state
// from rest), measured on one core. A condition costs a number of such factorisations, coarse
// meshes included, and its examination, half of which end in a march, many more.
constexpr double bytes_per_n_log2_n = 1000.0; // complex factors and finer meshes of step 6 too
constexpr double bytes_fixed = 80e6;
constexpr double seconds_per_n = 1.0e-5;
constexpr double factorisations_from_rest = 9.0;
constexpr double factorisations_from_neighbour = 5.0;
constexpr double factorisations_to_examine = 30.0;
constexpr double factorisations_added = 9.0; // its start lies a factor of power away
constexpr double added_powers = 2.0;         // one on either side of a limit; some take three
// A section of a fan over a condition of one section: each is solved twice, but none from rest save
// the first. Measured on cases/ring.toml at 40 W: 557, 1555, 2531 and 3195 factorisations with 1 to
// 4 sections.
constexpr double rounds_of_fan = 1.5;

/// How many single sections an orientation costs.
double sections_to_solve(const Case& the_case, const Orientation& orientation) {
  const std::size_t n = fan_of(the_case.cooler, orientation).size();
  return n == 1 ? 1.0 : rounds_of_fan * static_cast<double>(n);
}

/// Of all orientations; to examine, each section is gone through once.
struct Sections {
  double solved = 0.0;
  double examined = 0.0;
};

Sections sections_of_orientations(const Case& the_case) {
  Sections sections;
  for (const Orientation& orientation : the_case.orientations) {
    sections.solved += sections_to_solve(the_case, orientation);
    sections.examined += static_cast<double>(fan_of(the_case.cooler, orientation).size());
  }
  return sections;
}

/// Of all angles of a sweep.
double sections_of_tilts(const Case& the_case) {
  double sections = 0.0;
  for (const double angle : the_case.tilts.angles_deg) {
    sections += sections_to_solve(the_case, tilted_orientation(angle));
  }
  return sections;
}

int count_in(const Case& the_case, const Section& section, const TensorMesh& mesh,
             std::shared_ptr<const RadiantZones> zones) {
  // Along x every section has an answer, and the numbering does not depend on gravity.
  const Condition condition{.gravity_x = -the_case.gravity, .gravity_y = 0.0, .power = 1.0};
  const AirProperties air = governing_air(the_case, governing_rise(the_case, section));
  return number_unknowns(
             make_problem(section, mesh, condition, air, the_case.calm, std::move(zones)))
      .n;
}

} // namespace

int count_unknowns(const Case& the_case, const Section& section, const TensorMesh& mesh) {
  return count_in(the_case, section, mesh, nullptr);
}

int count_unknowns_of_flow(const Case& the_case, const Section& section, const TensorMesh& mesh) {
  return count_in(the_case, section, mesh, std::make_shared<const RadiantZones>());
}

Cost expected_cost(const Case& the_case, int jobs) {
  const Sections of_orientations = sections_of_orientations(the_case);
  const auto n_powers = static_cast<double>(the_case.powers.size());
  const int n_chains = static_cast<int>(the_case.panels.size() * the_case.orientations.size());
  Cost cost;
  cost.threads = threads_for(jobs, n_chains);
  double largest = 0.0; // [bytes]
  double steady = 0.0;  // [s] of one core, as the next
  double examination = 0.0;
  double addition = 0.0;
  double sweeps = 0.0;
  // Both ways; every step begins in pseudo-time, as a condition from rest does.
  const double steps = 2.0 * sections_of_tilts(the_case) * n_powers;
  const double factorisations =
      factorisations_from_rest + factorisations_from_neighbour * (n_powers - 1.0);
  for (const PanelState& panel : the_case.panels) {
    const std::vector<NamedSection> sections = sections_of(the_case, panel);
    const auto n_sections = static_cast<double>(sections.size());
    for (const NamedSection& named : sections) {
      const TensorMesh mesh = make_mesh(*named.section, the_case.resolution);
      const double n = count_unknowns_of_flow(the_case, *named.section, mesh);
      largest = std::max(largest, bytes_per_n_log2_n * n * std::log2(n));
      const double factorisation = seconds_per_n * n / n_sections;
      const double chains = of_orientations.solved * factorisation;
      sweeps += steps * factorisation * factorisations_from_rest;
      steady += chains * factorisations;
      examination +=
          of_orientations.examined * factorisation * factorisations_to_examine * n_powers;
      if (the_case.adds_powers && named.section->base >= 0) {
        addition += chains * factorisations_added * added_powers;
      }
    }
  }
  constexpr double gib = 1024.0 * 1024.0 * 1024.0;
  cost.memory_gib = (bytes_fixed + cost.threads * largest) / gib;
  // The last round of chains may leave threads idle.
  const double rounds = std::ceil(static_cast<double>(n_chains) / cost.threads);
  cost.first_seconds = steady * rounds / n_chains;
  cost.seconds = cost.first_seconds + examination / cost.threads + addition * rounds / n_chains;
  const double n_sweeps = static_cast<double>(the_case.panels.size()) * n_powers;
  cost.seconds += sweeps / std::min(n_sweeps, static_cast<double>(cost.threads));
  return cost;
}

} // namespace tiltfin
