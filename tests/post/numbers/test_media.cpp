// What the reports say of a fin medium and a grille, on a small block that is solved.
#include "post/numbers/balances.hpp"
#include "post/numbers/flows.hpp"
#include "post/views/fields.hpp"
#include "post/views/picture.hpp"
#include "post/views/section_drawing.hpp"
#include "tests/post/fixtures.hpp"
#include "tests/scratch.hpp"

#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkNew.h>
#include <vtkRectilinearGrid.h>
#include <vtkXMLRectilinearGridReader.h>

#include <cmath>
#include <filesystem>
#include <numeric>

namespace tiltfin::tests {
namespace {

/// A base with a bundle of fins towards the east in a box with cold west and east sides, all
/// radiating, and a sheet with holes above it.
Section boxed_block() {
  Section section;
  section.width = 0.1;
  section.height = 0.16;
  section.depth = 0.05;
  section.sides[west] = {SideKind::isothermal, 298.15, 0.0, 0.9};
  section.sides[east] = {SideKind::isothermal, 298.15, 0.0, 0.9};
  section.solids = {solid_of("base", {0.02, 0.025, 0.04, 0.1}, Role::base, 180.0)};
  section.solids[0].heat_share = 0.8;
  section.solids[0].emissivity = 0.82;
  section.media = {{"fins", {0.025, 0.055, 0.04, 0.1}, 4e-3, 1.5e-3, 180.0, 0.2}};
  section.media[0].emissivity = 0.82;
  section.grilles = {{"sheet", {0.0, 0.1, 0.13, 0.13}, 1e4, 8.0}};
  section.base = 0;
  return section;
}

const Solution& boxed_solution() {
  static const Solution solution = [] {
    NestedOptions options;
    options.resolution.cells_per_gap = 5;
    return solve_nested(boxed_block(), {0.0, -9.80665, 1.0},
                        {.constants = std::nullopt, .room_temperature = 298.15}, options);
  }();
  REQUIRE(solution.report.status == SolveStatus::converged);
  return solution;
}

double sum_of(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0);
}

} // namespace

TEST_CASE("Media: the heat released leaves through solids and fins, and closes", "[media]") {
  const Section section = boxed_block();
  const Solution& solution = boxed_solution();
  // What reports promise, with the heat released in the fins counted.
  const Balance balance = heat_balance(solution.problem, solution.state);
  CHECK(balance.error < 1e-6);
  CHECK_THAT(balance.released, WithinRel(1.0 / 0.05, 1e-12));
  const std::vector<double> solids = solid_heat(section, solution.problem, solution.state);
  const std::vector<double> media = medium_heat(section, solution.problem, solution.state);
  REQUIRE(media.size() == 1);
  const SurfaceRadiation radiation = surface_radiation(section, solution.problem, solution.state);
  REQUIRE(radiation.media.size() == 1);
  CHECK_THAT(sum_of(solids) + media[0] + sum_of(radiation.solids) + radiation.media[0],
             WithinRel(1.0 / 0.05, 1e-6));
  CHECK(radiation.media[0] > 0.05 * balance.released);
  CHECK(media[0] + radiation.media[0] > 0.5 * balance.released); // fins are what the block is for
  CHECK(mass_error(solution.problem, solution.state) < 1e-14);
}

TEST_CASE("Media: fins are hotter than the air between them and cooler than the base", "[media]") {
  const Solution& solution = boxed_solution();
  const double base = solid_temperature(solution.problem, solution.state, 0).max;
  double excess = 0.0; // over the bundle: beside the base, air can be the warmer one
  for (std::size_t k = 0; k < solution.problem.media.size(); ++k) {
    const MediumCell& cell = solution.problem.media[k];
    const double fins = solution.state.fin_temperature[k];
    excess += cell.volume * (fins - solution.state.temperature[cell.cell]);
    CHECK(fins < base + 0.5); // a fifth of the heat is released in the fins themselves
    CHECK(solution.state.air_age[k] > 0.0);
  }
  CHECK(excess > 0.0);
}

TEST_CASE("Media: an outcome names their flow and their heat", "[media]") {
  const Section section = boxed_block();
  const Outcome outcome = make_outcome(
      section, boxed_solution(),
      {.panel = "panel", .orientation = "upright", .power_w = 1.0, .room_temperature = 298.15});
  REQUIRE(outcome.solids.size() == 2);
  CHECK(outcome.solids[1].name == "fins");
  CHECK(outcome.solids[1].radiation_w > 0.0);
  const double radiated = outcome.solids[0].radiation_w + outcome.solids[1].radiation_w;
  CHECK_THAT(outcome.radiated_share, WithinRel(radiated / 1.0, 1e-6)); // of the watt released
  REQUIRE(outcome.gaps.size() == 2);
  CHECK(outcome.gaps[0].name == "fins along y");
  CHECK(outcome.gaps[0].net_flow_kg_per_s.value > 0.0); // warm air rises between the fins
  CHECK(outcome.gaps[1].name == "fins along x");
  CHECK(std::isfinite(outcome.air_into_fins_c.value));
  CHECK(outcome.recirculation < 1.0);
  CHECK(outcome.rayleigh_gap > 0.0);
  CHECK(outcome.warnings.empty());
}

TEST_CASE("Media: air speed is that between the fins", "[media]") {
  Section section = boxed_block();
  section.media[0].gap = 1e-3;
  section.media[0].fin_thickness = 4e-3;
  TensorMesh mesh = mesh_of(section, even_axis(0.1, 20), even_axis(0.16, 16));
  for (int c = 0; c < mesh.n_cells(); ++c) {
    const bool inside = section.media[0].extent.contains(mesh.x.centre(c % mesh.x.n()),
                                                         mesh.y.centre(c / mesh.x.n()));
    mesh.medium.push_back(inside ? 1 : 0);
  }
  const Problem problem = make_problem(section, mesh, {}, hand_air());
  const State state = state_of(
      mesh, [](double x, double) { return -0.2 * x; }, constant(300.0));
  CHECK_THAT(air_speed_max(problem, state), WithinRel(0.2 / 0.2, 1e-12)); // a fifth is gap
}

TEST_CASE("Media: fields hold the fins' temperature where there are fins", "[media]") {
  const Section section = boxed_block();
  const Solution& solution = boxed_solution();
  const Outcome outcome = make_outcome(
      section, solution,
      {.panel = "panel", .orientation = "upright", .power_w = 1.0, .room_temperature = 298.15});
  const Scratch scratch("media");
  const auto path = scratch / "media.vtr";
  write_fields(path, section, solution, outcome, "");
  vtkNew<vtkXMLRectilinearGridReader> reader;
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkDataArray* fins = reader->GetOutput()->GetCellData()->GetArray("fin_temperature_c");
  REQUIRE(fins != nullptr);
  int count = 0;
  for (vtkIdType c = 0; c < fins->GetNumberOfTuples(); ++c) {
    count += std::isnan(fins->GetTuple1(c)) ? 0 : 1;
  }
  CHECK(count == static_cast<int>(solution.problem.media.size()));
  CHECK_THAT(fins->GetTuple1(solution.problem.media[0].cell),
             WithinAbs(solution.state.fin_temperature[0] - 273.15, 1e-9));
}

TEST_CASE("Media: pictures and drawings show them and the grilles", "[media]") {
  const Section section = boxed_block();
  const Solution& solution = boxed_solution();
  const Outcome outcome = make_outcome(
      section, solution,
      {.panel = "panel", .orientation = "upright", .power_w = 1.0, .room_temperature = 298.15});
  const std::string drawn = svg_file(picture(section, seen_flow(solution), outcome));
  const std::string drawing = section_svg(section, nullptr, "block");
  for (const std::string& svg : {drawn, drawing}) {
    CHECK_THAT(svg, ContainsSubstring("class=\"medium\" data-name=\"fins\"") &&
                        ContainsSubstring("class=\"grille\""));
  }
  CHECK_THAT(drawing, ContainsSubstring("fin medium, seen from the fins") &&
                          ContainsSubstring(">sheet</text>"));
}

} // namespace tiltfin::tests
