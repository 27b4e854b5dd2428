#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

/// The flux, and the jump of the temperature at the face between the second and third layer.
Quantities measure(const Section& section, const Problem& problem, const State& state) {
  const TensorMesh& mesh = problem.mesh;
  const double flux = side_heat(problem, state)[east] / section.height;
  const int i = cell_at(mesh.x, section.solids[2].extent.x0 + 1e-6); // first cell of the third
  const auto at_face = [&](int cell, int solid, double direction) {
    const double gradient = flux / section.solids[static_cast<std::size_t>(solid)].conductivity_x;
    return state.temperature[static_cast<std::size_t>(mesh.cell(cell, 0))] -
           direction * 0.5 * mesh.x.width(cell) * gradient;
  };
  return {{"flux", flux},
          {"drop across the contact", at_face(i - 1, 1, 1.0) - at_face(i, 2, -1.0)}};
}

} // namespace

TEST_CASE("Layered slab: flux and contact drop are those of resistances in series",
          "[validation]") {
  const Case the_case = read_case_of("layered_slab");
  compare("layered_slab", [&](const std::string& quantity, const std::string& condition) {
    std::istringstream words(condition); // "contact <number> m2K/W"
    std::string skipped;
    Section section = the_case.panels[0].sections.front();
    words >> skipped >> section.contacts[0].resistance;
    const Solution solution =
        solve(the_case, section, named_orientation("upright").down, the_case.gravity);
    return measured(solution, [&](const Problem& problem,
                                  const State& state) { return measure(section, problem, state); })
        .at(quantity);
  });
}
