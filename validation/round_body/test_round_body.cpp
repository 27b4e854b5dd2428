#include "mesh/index.hpp"
#include "solver/fluxes.hpp"

#include "validation/onset.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

constexpr double size = 0.1;   // width of the annulus, height of the drum [m]
constexpr double apart = 10.0; // warm from cold [K]

Section drum_of(Section section) {
  section.axis_distance = 0.0;
  section.sides[south] = Side{SideKind::symmetry};
  section.sides[north] = Side{SideKind::insulated};
  section.sides[west] = Side{SideKind::isothermal, 303.15};
  section.sides[east] = Side{SideKind::isothermal, 293.15};
  return section;
}

/// A side that conducts so much better than the air that it keeps the ends' linear temperature.
Section with_conducting_side(Section section, double air_conductivity) {
  Solid side;
  side.name = "side";
  side.extent = {0.0, section.width, section.height, section.height + 0.01};
  side.conductivity_x = 1e5 * air_conductivity;
  side.conductivity_y = side.conductivity_x;
  section.solids.push_back(side);
  section.height += 0.01;
  return section;
}

/// Of still air that is warm below [1/s].
double growth(const Case& the_case, const Section& section, const TensorMesh& mesh,
              double rayleigh) {
  const double gravity = the_case.gravity * rayleigh / 1e4;
  const Problem problem = make_problem(section, mesh, {-gravity, 0.0, 0.0}, *the_case.air);
  State still = rest_state(problem, problem.air.reference_temperature);
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      still.temperature[index(mesh.cell(i, j))] =
          problem.sides[west].temperature - apart * mesh.x.centre(i) / size;
    }
  }
  return growth_of(problem, still);
}

double critical(const Case& the_case, const Section& section, const TensorMesh& mesh) {
  return critical_rayleigh(
      [&](double rayleigh) { return growth(the_case, section, mesh, rayleigh); });
}

Computed onset(const Case& the_case, const Section& section) {
  const TensorMesh fine = make_mesh(section, the_case.resolution, 0);
  const TensorMesh coarse = make_mesh(section, the_case.resolution, 1);
  return {critical(the_case, section, fine), critical(the_case, section, coarse), cells_of(fine)};
}

Quantities nusselt_inside(const Problem& problem, const State& state) {
  double heat = 0.0;
  double area = 0.0;
  for (int i = 0; i < problem.mesh.x.n(); ++i) {
    heat += heat_through_y_face(problem, state, i, 0);
    area += problem.mesh.y_face_area(i, 0);
  }
  return {{"Nu inside", heat / area * size / (problem.air.conductivity * apart)}};
}

} // namespace

TEST_CASE("Round body: onset in a drum and heat across an annulus agree with others",
          "[validation]") {
  const Case the_case = read_case_of("round_body");
  const Section annulus = the_case.panels[0].sections.front();
  const Section drum = drum_of(annulus);
  std::map<std::string, Computed> by_condition{
      {"drum insulated side", onset(the_case, drum)},
      {"drum conducting side",
       onset(the_case, with_conducting_side(drum, the_case.air->conductivity))}};
  for (const char* rayleigh : {"1e3", "1e4", "1e5"}) {
    const double gravity = the_case.gravity * std::stod(rayleigh) / 1e4;
    const Solution solution = solve(the_case, annulus, {-1.0, 0.0, 0.0}, gravity);
    by_condition["annulus Ra " + std::string(rayleigh)] =
        measured(solution, nusselt_inside).at("Nu inside");
  }
  compare("round_body", [&](const std::string&, const std::string& condition) {
    return by_condition.at(condition);
  });
}
