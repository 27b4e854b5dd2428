#include "validation/onset.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// Sides that conduct so much better than the air that they keep the plates' linear temperature.
Section with_conducting_sides(Section section, double air_conductivity) {
  constexpr double thickness = 0.01; // m
  const double inside = section.width;
  section.width += 2.0 * thickness;
  for (const double left : {0.0, thickness + inside}) {
    Solid side;
    side.name = left == 0.0 ? "west wall" : "east wall";
    side.extent = {left, left + thickness, 0.0, section.height};
    side.conductivity_x = 1e5 * air_conductivity;
    side.conductivity_y = side.conductivity_x;
    section.solids.push_back(side);
  }
  return section;
}

Section box(Section section, double width) {
  section.width = width;
  section.sides[west].kind = SideKind::insulated;
  section.sides[east].kind = SideKind::insulated;
  return section;
}

State still_air(const Problem& problem) {
  const double below = problem.sides[south].temperature;
  const double above = problem.sides[north].temperature;
  State state = rest_state(problem, 0.5 * (below + above));
  for (int j = 0; j < problem.mesh.y.n(); ++j) {
    for (int i = 0; i < problem.mesh.x.n(); ++i) {
      state.temperature[static_cast<std::size_t>(problem.mesh.cell(i, j))] =
          below + (above - below) * problem.mesh.y.centre(j) / problem.mesh.y.length();
    }
  }
  return state;
}

/// Of still air [1/s].
double growth(const Case& the_case, const Section& section, const TensorMesh& mesh,
              double rayleigh) {
  const double gravity = the_case.gravity * rayleigh / 1e4;
  const Problem problem = make_problem(section, mesh, {0.0, -gravity, 0.0}, *the_case.air);
  return growth_of(problem, still_air(problem));
}

double critical(const Case& the_case, const Section& section, const TensorMesh& mesh) {
  return critical_rayleigh(
      [&](double rayleigh) { return growth(the_case, section, mesh, rayleigh); });
}

} // namespace

TEST_CASE("Onset: still air turns over at the published Rayleigh numbers", "[validation]") {
  const Case the_case = read_case_of("critical_rayleigh");
  const Section layer = the_case.panels[0].sections.front();
  const Section square = box(layer, 0.1);
  const std::map<std::string, Section> sections{
      {"layer", layer},
      {"square insulated sides", square},
      {"2:1 insulated sides", box(layer, 0.2)},
      {"square conducting sides", with_conducting_sides(square, the_case.air->conductivity)}};
  std::map<std::string, Computed> onset;
  for (const auto& [condition, section] : sections) {
    const TensorMesh fine = make_mesh(section, the_case.resolution, 0);
    const TensorMesh coarse = make_mesh(section, the_case.resolution, 1);
    onset[condition] = {critical(the_case, section, fine), critical(the_case, section, coarse),
                        cells_of(fine)};
  }
  compare("critical_rayleigh",
          [&](const std::string&, const std::string& condition) { return onset.at(condition); });
}
