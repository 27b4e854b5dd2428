#include "solver/linear.hpp"
#include "tests/solver/fixtures.hpp"

#include <complex>
#include <limits>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Residual and Jacobian of a state in motion.
struct System {
  Jacobian jacobian;
  std::vector<double> right_side;
};

System system_of(const Problem& problem) {
  const Unknowns unknowns = number_unknowns(problem);
  System system{make_jacobian(problem, unknowns), {}};
  State state = unpack(unknowns, random_vector(unknowns.n, 31));
  for (double& temperature : state.temperature) {
    temperature += room;
  }
  system.right_side =
      refill(problem, unknowns, pack(unknowns, state), {100.0, {}}, system.jacobian);
  return system;
}

LinearSolver solver_of(const SparseMatrix& matrix) {
  return LinearSolver(matrix, std::vector<double>(at(matrix.n), 1.0));
}

/// Largest |A x - b| of a row, relative to the size of the row's terms.
double backward_error(const SparseMatrix& matrix, const std::vector<double>& x,
                      const std::vector<double>& b) {
  std::vector<double> rest = b;
  std::vector<double> size(b.size(), 0.0);
  for (std::size_t column = 0; column < x.size(); ++column) {
    for (int k = matrix.column_start[column]; k < matrix.column_start[column + 1]; ++k) {
      const double term = matrix.value[at(k)] * x[column];
      rest[at(matrix.row[at(k)])] -= term;
      size[at(matrix.row[at(k)])] += std::abs(term);
    }
  }
  double worst = 0.0;
  for (std::size_t row = 0; row < b.size(); ++row) {
    worst = std::max(worst, std::abs(rest[row]) / (size[row] + std::abs(b[row])));
  }
  return worst;
}

SparseMatrix two_by_two(double a, double b, double c, double d) {
  return {2, {0, 2, 4}, {0, 1, 0, 1}, {a, c, b, d}};
}

} // namespace

TEST_CASE("Linear: a small system is solved", "[linear]") {
  const SparseMatrix matrix = two_by_two(1e-3, 2.0, 3.0, 4e5);
  LinearSolver solver(matrix, {1e2, 1e-4});
  REQUIRE(solver.factor(matrix));
  const std::vector<double> x = solver.solve({1.0, 2.0});
  const double determinant = 1e-3 * 4e5 - 2.0 * 3.0;
  CHECK_THAT(x[0], WithinRel((1.0 * 4e5 - 2.0 * 2.0) / determinant, 1e-14));
  CHECK_THAT(x[1], WithinRel((1e-3 * 2.0 - 3.0 * 1.0) / determinant, 1e-14));
}

TEST_CASE("Linear: the Jacobian of a flow is solved to rounding", "[linear]") {
  const System system = system_of(rough_problem(furnished_box(), tilted(37.0, 1e5)));
  LinearSolver solver = solver_of(system.jacobian.matrix);
  REQUIRE(solver.factor(system.jacobian.matrix));
  const std::vector<double> x = solver.solve(system.right_side);
  // Threshold pivoting lets entries grow by some powers of ten at most.
  CHECK(backward_error(system.jacobian.matrix, x, system.right_side) < 1e-11);
}

TEST_CASE("Linear: factors can be renewed and the solver moved", "[linear]") {
  const System first = system_of(rough_problem(furnished_box(), tilted(37.0, 1e5)));
  const System second = system_of(rough_problem(furnished_box(), tilted(-80.0, 3e4)));
  LinearSolver solver = solver_of(first.jacobian.matrix);
  REQUIRE(solver.factor(first.jacobian.matrix));
  LinearSolver moved = std::move(solver);
  REQUIRE(moved.factor(second.jacobian.matrix));
  const std::vector<double> x = moved.solve(second.right_side);
  CHECK(backward_error(second.jacobian.matrix, x, second.right_side) < 1e-11);
}

TEST_CASE("Linear: the same system gives the same bits", "[linear]") {
  const System system = system_of(rough_problem(furnished_box(), tilted(37.0, 1e5)));
  LinearSolver one = solver_of(system.jacobian.matrix);
  LinearSolver two = solver_of(system.jacobian.matrix);
  REQUIRE(one.factor(system.jacobian.matrix));
  REQUIRE(two.factor(system.jacobian.matrix));
  CHECK((one.solve(system.right_side) == two.solve(system.right_side)));
  CHECK(one.fill() == two.fill());
}

TEST_CASE("Linear: a singular or infinite matrix is reported", "[linear]") {
  const SparseMatrix singular = two_by_two(1.0, 2.0, 2.0, 4.0);
  LinearSolver solver = solver_of(singular);
  CHECK_FALSE(solver.factor(singular));
  CHECK_FALSE(solver.factor(two_by_two(0.0, 0.0, 1.0, 2.0))); // an empty row
  CHECK_FALSE(solver.factor(two_by_two(1.0, std::numeric_limits<double>::infinity(), 1.0, 2.0)));
  CHECK_FALSE(solver.factor(two_by_two(1.0, std::numeric_limits<double>::quiet_NaN(), 1.0, 2.0)));
  CHECK(solver.factor(two_by_two(1.0, 2.0, 3.0, 4.0))); // and the solver is still good
}

TEST_CASE("Linear: insulated walls all round leave temperature undetermined", "[linear]") {
  const Problem problem = rough_problem(empty_box(), {});
  const Unknowns unknowns = number_unknowns(problem);
  Jacobian jacobian = make_jacobian(problem, unknowns);
  const std::vector<double> z = pack(unknowns, rest_state(problem, room));
  const std::vector<double> f = refill(problem, unknowns, z, {}, jacobian);
  LinearSolver solver = solver_of(jacobian.matrix);
  // Rounding may leave a last pivot of 1e-16 instead of zero: then the solution must be huge.
  if (solver.factor(jacobian.matrix)) {
    const std::vector<double> x = solver.solve(random_vector(unknowns.n, 3));
    CHECK_FALSE(largest(x) < 1e10);
  }
  // A time term makes it regular again.
  (void)refill(problem, unknowns, z, {1.0, {}}, jacobian);
  CHECK(solver.factor(jacobian.matrix));
}

TEST_CASE("Linear: the numbering keeps the fill far below that of a band", "[linear]") {
  const int n = 64;
  const Section section = heated_box();
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, n, 0.3), graded_axis(1.0, n, 0.3));
  const System system = system_of(make_problem(section, mesh, tilted(37.0, 1e4), round_air()));
  LinearSolver solver = solver_of(system.jacobian.matrix);
  REQUIRE(solver.factor(system.jacobian.matrix));
  CHECK(solver.fill() > static_cast<long>(system.jacobian.matrix.row.size()));
  // Numbered row by row a node's equation reaches two rows with two unknowns per cell either way:
  // both factors of that band hold 2 * 2 * 2 n entries per unknown. A dissection must at least
  // halve it at this size (its n log n against n^1.5), or it is not one.
  const long band = 8L * n * system.jacobian.matrix.n;
  CHECK(solver.fill() < band / 2);
}

TEST_CASE("Linear: complex systems are solved too", "[linear]") {
  using Complex = std::complex<double>;
  const SparseMatrix pattern = two_by_two(1.0, 1.0, 1.0, 1.0);
  SparseSolver<Complex> solver(pattern, {1e2, 1e-4});
  const Complex a(1e-3, 2e-3);
  const Complex b(2.0, -1.0);
  const Complex c(0.0, 3.0);
  const Complex d(4e5, 1e5);
  REQUIRE(solver.factor(pattern, {a, c, b, d})); // by columns
  const std::vector<Complex> x = solver.solve({1.0, Complex(0.0, 2.0)});
  const Complex determinant = a * d - b * c;
  CHECK(std::abs(x[0] - (d - b * Complex(0.0, 2.0)) / determinant) < 1e-14 * std::abs(x[0]));
  CHECK(std::abs(x[1] - (a * Complex(0.0, 2.0) - c) / determinant) < 1e-14 * std::abs(x[1]));
  CHECK_FALSE(solver.factor(pattern, {a, 0.0, b, 0.0})); // an empty row
  CHECK(solver.factor(two_by_two(1.0, 2.0, 3.0, 4.0)));  // real entries
}
