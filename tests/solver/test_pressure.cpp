#include "solver/pressure.hpp"
#include "tests/solver/fixtures.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Warm from below and from its solids, at a tilt: a vigorous flow round islands.
State solved(const Problem& problem, double start_gravity = 0.02) {
  // Continuation in gravity: each state starts from the last.
  Problem step = problem;
  const Unknowns unknowns = number_unknowns(problem);
  std::vector<double> z = pack(unknowns, rest_state(problem, room));
  for (double factor = start_gravity; factor < 2.0; factor *= 2.0) {
    step.gravity_x = problem.gravity_x * std::min(factor, 1.0);
    step.gravity_y = problem.gravity_y * std::min(factor, 1.0);
    z = newton(step, unknowns, z);
  }
  return unpack(unknowns, z);
}

/// Largest difference between a face's momentum and the pressure that drives it, over all faces.
double worst_mismatch(const Problem& problem, const State& state, const std::vector<double>& p) {
  const Unknowns unknowns = number_unknowns(problem);
  double worst = 0.0;
  for_each_momentum_face(problem, unknowns, [&](const MomentumFace& face, int i, int j, bool is_x) {
    const double momentum = is_x ? momentum_of_x_face(problem, unknowns, state, i, j)
                                 : momentum_of_y_face(problem, unknowns, state, i, j);
    const double before = face.cell[0] < 0 ? 0.0 : p[at(face.cell[0])];
    const double after = face.cell[1] < 0 ? 0.0 : p[at(face.cell[1])];
    worst = std::max(worst, std::abs(after - before + momentum));
  });
  return worst;
}

double largest_in_air(const Problem& problem, const std::vector<double>& p) {
  double result = 0.0;
  for (std::size_t k = 0; k < p.size(); ++k) {
    if (problem.mesh.region[k] == 0) {
      result = std::max(result, std::abs(p[k]));
    }
  }
  return result;
}

} // namespace

TEST_CASE("Pressure: it is single-valued round every island", "[pressure]") {
  const Problem problem = rough_problem(furnished_box(), tilted(37.0, 3e4));
  const State state = solved(problem);
  const std::vector<double> p = pressure(problem, state);
  const double size = largest_in_air(problem, p);
  REQUIRE(size > 0.0);
  // Newton's method ended at rounding; a walk adds some hundred faces.
  CHECK(worst_mismatch(problem, state, p) < 1e-8 * size);
  double mean = 0.0;
  for (int k = 0; k < problem.mesh.n_cells(); ++k) {
    const int i = k % problem.mesh.x.n();
    const int j = k / problem.mesh.x.n();
    if (problem.mesh.is_air(i, j)) {
      mean += p[at(k)] * problem.mesh.x.width(i) * problem.mesh.y.width(j);
    } else {
      CHECK(std::isnan(p[at(k)]));
    }
  }
  CHECK_THAT(mean, WithinAbs(0.0, 1e-12 * size)); // a sum of some hundred cells
}

TEST_CASE("Pressure: it vanishes outside every open side", "[pressure]") {
  Section section = furnished_box();
  section.sides[south] = {SideKind::open, room, 0.0};
  section.sides[north] = {SideKind::open, room, 0.0};
  const Problem problem = rough_problem(section, tilted(12.0, 3e3, 2.0));
  const State state = solved(problem);
  const std::vector<double> p = pressure(problem, state);
  // Every face of both openings is among those compared, with zero outside.
  CHECK(worst_mismatch(problem, state, p) < 1e-8 * largest_in_air(problem, p));
}

TEST_CASE("Pressure: each of two air pockets has its own zero mean", "[pressure]") {
  Section section = heated_box();
  section.solids = {solid({0.45, 0.55, 0.0, 1.0}, 5.0)}; // parts the box
  const Problem problem = rough_problem(section, tilted(0.0, 1e5));
  const State state = solved(problem);
  const std::vector<double> p = pressure(problem, state);
  const double size = largest_in_air(problem, p);
  CHECK(worst_mismatch(problem, state, p) < 1e-8 * size);
  double left = 0.0;
  double right = 0.0;
  for (int k = 0; k < problem.mesh.n_cells(); ++k) {
    const int i = k % problem.mesh.x.n();
    const int j = k / problem.mesh.x.n();
    if (problem.mesh.is_air(i, j)) {
      const double part = p[at(k)] * problem.mesh.x.width(i) * problem.mesh.y.width(j);
      (problem.mesh.x.centre(i) < 0.5 ? left : right) += part;
    }
  }
  CHECK_THAT(left, WithinAbs(0.0, 1e-12 * size));
  CHECK_THAT(right, WithinAbs(0.0, 1e-12 * size));
}

TEST_CASE("Pressure: a pocket inside a free solid has its own zero mean, too", "[pressure]") {
  Section section = heated_box();
  section.solids = {solid({0.3, 0.8, 0.2, 0.3}, 5.0), solid({0.3, 0.8, 0.7, 0.8}, 5.0),
                    solid({0.3, 0.35, 0.3, 0.7}, 1.0), solid({0.7, 0.8, 0.3, 0.7}, 5.0)};
  const Problem problem = rough_problem(section, tilted(30.0, 1e5));
  const State state = solved(problem);
  const std::vector<double> p = pressure(problem, state);
  const double size = largest_in_air(problem, p);
  CHECK(worst_mismatch(problem, state, p) < 1e-8 * size);
  const auto mean_of = [&](int label) {
    const std::vector<int> labels = air_regions(problem.mesh);
    double sum = 0.0;
    for (int k = 0; k < problem.mesh.n_cells(); ++k) {
      if (labels[at(k)] == label) {
        sum += p[at(k)] * problem.mesh.x.width(k % problem.mesh.x.n()) *
               problem.mesh.y.width(k / problem.mesh.x.n());
      }
    }
    return sum;
  };
  CHECK_THAT(mean_of(0), WithinAbs(0.0, 1e-12 * size));
  CHECK_THAT(mean_of(1), WithinAbs(0.0, 1e-12 * size));
}

TEST_CASE("Pressure: air at rest has the pressure of its buoyancy", "[pressure]") {
  // Isothermal air 2 K warmer than the reference: p falls along gravity by rho beta dT g.
  Section section = empty_box();
  const Condition condition = tilted(37.0, 1e3);
  const Problem problem = rough_problem(section, condition);
  const State state = rest_state(problem, room + 2.0);
  const std::vector<double> p = pressure(problem, state);
  double worst = 0.0;
  for (int k = 0; k < problem.mesh.n_cells(); ++k) {
    const double x = problem.mesh.x.centre(k % problem.mesh.x.n()) - 0.5;
    const double y = problem.mesh.y.centre(k / problem.mesh.x.n()) - 0.5;
    const double expected = -2.0 * (condition.gravity_x * x + condition.gravity_y * y);
    worst = std::max(worst, std::abs(p[at(k)] - expected));
  }
  CHECK(worst < 1e-12 * largest(p)); // rounding of a sum along the walk
}
