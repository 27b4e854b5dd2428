#include "solver/linear.hpp"
#include "solver/multifrontal.hpp"
#include "tests/solver/fixtures.hpp"

#include <Eigen/LU>

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

using Complex = std::complex<double>;
using Dense = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic>;

/// The entries of a dense matrix that are not `absent`; zeros may be entries.
SparseMatrix pattern_of(const Dense& dense, const Complex& absent) {
  SparseMatrix pattern{static_cast<int>(dense.rows()), {0}, {}, {}};
  for (int column = 0; column < pattern.n; ++column) {
    for (int row = 0; row < pattern.n; ++row) {
      if (dense(row, column) != absent) {
        pattern.row.push_back(row);
        pattern.value.push_back(dense(row, column).real());
      }
    }
    pattern.column_start.push_back(static_cast<int>(pattern.row.size()));
  }
  return pattern;
}

constexpr double no_entry = 77.0;

/// A few random entries per column, diagonals `weak` times as large as the others. Eigen's dense LU
/// with full exchange of rows is the reference.
Dense random_matrix(int n, double weak, bool is_complex, unsigned seed) {
  Random random(seed);
  Dense dense = Dense::Constant(n, n, no_entry);
  for (int column = 0; column < n; ++column) {
    for (int k = 0; k < 4; ++k) {
      const int row = static_cast<int>((0.5 + 0.4999 * random()) * n);
      dense(row, column) = {random(), is_complex ? random() : 0.0};
    }
    dense((column + 1) % n, column) = {1.5 + random(), is_complex ? random() : 0.0};
    dense(column, column) = {weak * random(), is_complex ? weak * random() : 0.0};
  }
  return dense;
}

Dense without_absent(Dense dense) {
  for (auto& entry : dense.reshaped()) {
    entry = entry == Complex(no_entry) ? Complex(0.0) : entry;
  }
  return dense;
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

TEST_CASE("Linear: any number of threads gives the same bits", "[linear]") {
  const int n = 96; // enough work to be shared
  const Section section = heated_box();
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, n, 0.3), graded_axis(1.0, n, 0.3));
  const System system = system_of(make_problem(section, mesh, tilted(37.0, 1e4), round_air()));
  const SparseMatrix& matrix = system.jacobian.matrix;
  const Fronts fronts = make_fronts(matrix);
  REQUIRE(std::any_of(fronts.fronts.begin(), fronts.fronts.end(),
                      [](const Front& front) { return front.forks; }));
  const auto factored = [&](int threads) {
    Factors<double> factors;
    REQUIRE(factor(fronts, matrix.value, threads, factors).empty());
    return factors;
  };
  const Factors<double> alone = factored(1);
  for (const int threads : {2, 3, 8}) {
    CAPTURE(threads);
    const Factors<double> shared = factored(threads);
    CHECK((shared.block.array() == alone.block.array()).all());
    CHECK(shared.row_of == alone.row_of);
  }
}

TEST_CASE("Linear: weak or no diagonals are solved as by a dense LU", "[linear]") {
  unsigned seed = 1;
  for (const int n : {1, 2, 3, 5, 17, 60, 200}) {
    for (const double weak : {1.0, 1e-3, 1e-9, 0.0}) {
      if (n == 1 && weak == 0.0) {
        continue; // no matrix
      }
      CAPTURE(n, weak);
      const Dense dense = random_matrix(n, weak, false, ++seed);
      const SparseMatrix matrix = pattern_of(dense, no_entry);
      const Eigen::FullPivLU<Eigen::MatrixXd> reference(without_absent(dense).real());
      LinearSolver solver = solver_of(matrix);
      REQUIRE(solver.factor(matrix) == reference.isInvertible());
      const std::vector<double> b = random_vector(n, seed);
      const std::vector<double> x = solver.solve(b);
      // Entries may grow by 1e5 in a front: 1e-16 times that.
      CHECK(backward_error(matrix, x, b) < 1e-11);
      const Eigen::VectorXd other = reference.solve(Eigen::Map<const Eigen::VectorXd>(b.data(), n));
      const double condition = 1.0 / reference.rcond();
      CHECK((Eigen::Map<const Eigen::VectorXd>(x.data(), n) - other).norm() <
            1e-11 * condition * other.norm());
    }
  }
}

TEST_CASE("Linear: constraints numbered before what they constrain are solved", "[linear]") {
  const int n_constraints = 40;
  const int n = 140;
  Random random(5);
  Dense dense = Dense::Constant(n, n, no_entry); // [0 B; B^T A]
  for (int k = 0; k < n_constraints; ++k) {
    dense(k, k) = 0.0;
    for (const int other : {n_constraints + k, n_constraints + 2 * k, n - 1 - k}) {
      dense(k, other) = dense(other, k) = 1.0 + 0.5 * random();
    }
  }
  for (int k = n_constraints; k < n; ++k) {
    dense(k, k) = 2.0 + random();
    if (k + 1 < n) {
      dense(k, k + 1) = random();
    }
  }
  const SparseMatrix matrix = pattern_of(dense, no_entry);
  LinearSolver solver = solver_of(matrix);
  const long fill = solver.fill();
  REQUIRE(solver.factor(matrix));
  CHECK(solver.fill() > fill); // fronts were merged
  const std::vector<double> b = random_vector(n, 9);
  CHECK(backward_error(matrix, solver.solve(b), b) < 1e-11);
}

TEST_CASE("Linear: two rows alike are singular, wherever they stand", "[linear]") {
  const int n = 60;
  for (const int first : {0, 20, 58}) {
    CAPTURE(first);
    Random random(7);
    Dense dense = Dense::Constant(n, n, no_entry);
    for (int k = 0; k < n; ++k) { // halves and quarters: no rounding
      dense(k, k) = 4.0;
      dense(k, (k + 1) % n) = random() > 0.0 ? 1.0 : -1.0;
      dense((k + 7) % n, k) = 0.5;
    }
    const SparseMatrix regular = pattern_of(dense, no_entry);
    for (int column = 0; column < n; ++column) {
      const bool is_entry = dense(first, column) != Complex(no_entry) ||
                            dense(first + 1, column) != Complex(no_entry);
      dense(first, column) = dense(first + 1, column) = is_entry ? 1.0 : no_entry;
    }
    const SparseMatrix singular = pattern_of(dense, no_entry);
    LinearSolver solver = solver_of(singular);
    const bool is_regular = solver.factor(singular);
    // Rounding may leave a last pivot of 1e-16: then the solution must be huge.
    if (is_regular) {
      CHECK_FALSE(largest(solver.solve(random_vector(n, 3))) < 1e10);
    }
    LinearSolver other = solver_of(regular);
    CHECK(other.factor(regular));
  }
}

TEST_CASE("Linear: complex matrices with weak diagonals are solved as by a dense LU", "[linear]") {
  for (const double weak : {1.0, 1e-9}) {
    const int n = 120;
    const Dense dense = random_matrix(n, weak, true, 3);
    const SparseMatrix pattern = pattern_of(dense, no_entry);
    std::vector<Complex> value;
    for (int column = 0; column < n; ++column) {
      for (int k = pattern.column_start[at(column)]; k < pattern.column_start[at(column) + 1];
           ++k) {
        value.push_back(dense(pattern.row[at(k)], column));
      }
    }
    SparseSolver<Complex> solver(pattern, std::vector<double>(n, 1.0));
    REQUIRE(solver.factor(pattern, value));
    const Eigen::VectorXcd b = Eigen::VectorXcd::LinSpaced(n, Complex(1.0, -1.0), {2.0, 5.0});
    const std::vector<Complex> x = solver.solve({b.data(), b.data() + n});
    const Eigen::FullPivLU<Dense> reference(without_absent(dense));
    const Eigen::VectorXcd other = reference.solve(b);
    CHECK((Eigen::Map<const Eigen::VectorXcd>(x.data(), n) - other).norm() <
          1e-11 / reference.rcond() * other.norm());
  }
}

TEST_CASE("Linear: several right-hand sides are solved at once", "[linear]") {
  const System system = system_of(rough_problem(furnished_box(), tilted(37.0, 1e5)));
  const int n = system.jacobian.matrix.n;
  LinearSolver solver = solver_of(system.jacobian.matrix);
  REQUIRE(solver.factor(system.jacobian.matrix));
  const std::vector<double> sides = random_vector(3 * n, 8);
  const std::vector<double> all = solver.solve(sides);
  for (int k = 0; k < 3; ++k) {
    const auto part = [&](const std::vector<double>& from) {
      return std::vector<double>(from.begin() + k * n, from.begin() + (k + 1) * n);
    };
    CHECK(backward_error(system.jacobian.matrix, part(all), part(sides)) < 1e-11);
  }
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
