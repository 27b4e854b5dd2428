#include "solver/fluxes.hpp"

#include "validation/peak.hpp"
#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The plate's face: the first cell of air, and what the similarity variables need.
struct Plate {
  int i = 0;            ///< first column of air cells
  double face = 0.0;    ///< [m]
  double edge = 0.0;    ///< height of the leading edge [m]
  double length = 0.0;  ///< [m]
  double grashof = 0.0; ///< per cubed metre
  double warmer = 0.0;  ///< than the room [K]
};

/// Local values of the row of cells nearest to `place` (of the plate's length), with its own
/// height above the leading edge: -theta'(0), largest f', eta of largest f'.
std::array<double, 3> local(const Problem& problem, const State& state, const Plate& plate,
                            double place) {
  const TensorMesh& mesh = problem.mesh;
  const int j = cell_at(mesh.y, plate.edge + place * plate.length);
  const double y = mesh.y.centre(j) - plate.edge;
  const double quarter = std::pow(0.25 * plate.grashof * y * y * y, 0.25); // (Gr_y/4)^(1/4)
  const double flux = heat_through_x_face(problem, state, plate.i, j) / mesh.y.width(j);
  const double nusselt = flux * y / (problem.air.conductivity * plate.warmer);
  const std::vector<double> v = velocity_y(mesh, state);
  std::vector<double> x;
  std::vector<double> rising;
  for (int i = plate.i; i < mesh.x.n(); ++i) {
    x.push_back(mesh.x.centre(i) - plate.face);
    const double below = v[static_cast<std::size_t>(problem.face_y(i, j))];
    const double above = v[static_cast<std::size_t>(problem.face_y(i, j + 1))];
    rising.push_back(0.5 * (below + above)); // at the height of the cell's centre
  }
  const Peak fastest = peak(x, rising);
  const double scale = 4.0 * problem.air.kinematic_viscosity() * quarter * quarter / y;
  return {nusselt / quarter, fastest.value / scale, quarter * fastest.position / y};
}

Quantities measure(const Case& the_case, const Problem& problem, const State& state) {
  const Section& section = the_case.panels[0].sections.front();
  const Rectangle& solid = section.solids[1].extent;
  const AirProperties& air = problem.air;
  Plate plate;
  plate.i = cell_at(problem.mesh.x, solid.x1 + 1e-6);
  plate.face = solid.x1;
  plate.edge = solid.y0;
  plate.length = solid.height();
  plate.warmer = section.sides[west].temperature - the_case.room_temperature;
  plate.grashof = the_case.gravity * air.expansion * plate.warmer /
                  (air.kinematic_viscosity() * air.kinematic_viscosity());
  const double heat = solid_heat(section, problem, state)[1];
  const double rayleigh =
      plate.grashof * std::pow(plate.length, 3.0) * air.kinematic_viscosity() / air.diffusivity();
  Quantities all{{"mean Nu/Ra^(1/4) Ra 1e8",
                  heat / (air.conductivity * plate.warmer) / std::pow(rayleigh, 0.25)}};
  for (const std::string place : {"0.25", "0.5", "0.75"}) {
    const auto values = local(problem, state, plate, std::stod(place));
    all["-theta'(0) y/L " + place] = values[0];
    all["largest f' y/L " + place] = values[1];
    all["eta of largest f' y/L " + place] = values[2];
  }
  return all;
}

} // namespace

TEST_CASE("Isothermal plate: heat and velocity follow the similarity solution", "[validation]") {
  const Case the_case = read_case_of("isothermal_plate");
  const Solution solution = solve(the_case, the_case.panels[0].sections.front(),
                                  named_orientation("upright").down, the_case.gravity);
  const auto all = measured(solution, [&](const Problem& problem, const State& state) {
    return measure(the_case, problem, state);
  });
  compare("isothermal_plate", [&](const std::string& quantity, const std::string& condition) {
    return all.at(quantity + " " + condition);
  });
}
