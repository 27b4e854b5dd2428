#include "solver/unknowns.hpp"

#include <algorithm>
#include <map>

#include "validation/reference.hpp"

using namespace tiltfin;
using namespace tiltfin::validation;

namespace {

std::size_t at(int k) {
  return static_cast<std::size_t>(k);
}

/// Largest value of a profile known at ascending places, by the parabola through its three
/// largest neighbours.
double peak(const std::vector<double>& x, const std::vector<double>& f) {
  const auto top = std::max_element(f.begin() + 1, f.end() - 1) - f.begin();
  const auto k = static_cast<std::size_t>(top);
  const double left = (f[k] - f[k - 1]) / (x[k] - x[k - 1]);
  const double right = (f[k + 1] - f[k]) / (x[k + 1] - x[k]);
  const double curvature = (right - left) / (x[k + 1] - x[k - 1]);
  const double slope = left + curvature * (x[k] - x[k - 1]);
  return f[k] - slope * slope / (4.0 * curvature);
}

/// Everything the table compares, in diffusivities and widths.
std::map<std::string, double> quantities(const Case& the_case, double rayleigh) {
  const Section& section = the_case.panels[0].section;
  const double gravity = the_case.gravity * rayleigh / 1e6;
  const Solution solution = solve(the_case, section, named_orientation("upright").down, gravity);
  const Problem& problem = solution.problem;
  const TensorMesh& mesh = problem.mesh;
  const double warmer = section.sides[west].temperature - section.sides[east].temperature;
  const double diffusivity = problem.air.diffusivity();
  const double speed = diffusivity / section.width;
  const int middle_i = mesh.x.n() / 2; // the mesh is symmetric with an even number of cells
  const int middle_j = mesh.y.n() / 2;
  const std::vector<double> u = velocity_x(mesh, solution.state);
  const std::vector<double> v = velocity_y(mesh, solution.state);
  std::vector<double> x;
  std::vector<double> y;
  std::vector<double> u_middle;
  std::vector<double> v_middle;
  for (int j = 0; j < mesh.y.n(); ++j) {
    y.push_back(mesh.y.centre(j));
    u_middle.push_back(u[at(problem.face_x(middle_i, j))] / speed);
  }
  for (int i = 0; i < mesh.x.n(); ++i) {
    x.push_back(mesh.x.centre(i));
    v_middle.push_back(v[at(problem.face_y(i, middle_j))] / speed);
  }
  double psi_max = 0.0;
  for (const double psi : solution.state.psi) {
    psi_max = std::max(psi_max, std::abs(psi) / diffusivity);
  }
  return {{"Nu", side_heat(problem, solution.state)[east] / (problem.air.conductivity * warmer)},
          {"u max on x = 1/2", peak(y, u_middle)},
          {"v max on y = 1/2", peak(x, v_middle)},
          {"psi max", psi_max},
          {"psi centre",
           std::abs(solution.state.psi[at(mesh.node(middle_i, middle_j))]) / diffusivity}};
}

} // namespace

TEST_CASE("Square cavity: heat, velocities and streamfunction agree with the benchmarks",
          "[validation]") {
  const Case the_case = read_case_of("square_cavity");
  std::map<std::string, std::map<std::string, double>> solved;
  for (const char* rayleigh : {"1e3", "1e4", "1e5", "1e6"}) {
    solved[std::string("Ra ") + rayleigh] = quantities(the_case, std::stod(rayleigh));
  }
  compare("square_cavity", [&](const std::string& quantity, const std::string& condition) {
    return solved.at(condition).at(quantity);
  });
}
