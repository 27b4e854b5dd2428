// The fronts and the LU that is made of them, against Eigen's SparseLU and dense inverses.
#include "solver/fronts.hpp"
#include "solver/linear.hpp"
#include "tests/solver/fixtures.hpp"

#include <Eigen/LU>
#include <Eigen/SparseLU>

#include <complex>
#include <numeric>
#include <set>
#include <type_traits>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

using Complex = std::complex<double>;
template <class Scalar>
using Vector = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;
template <class Scalar>
using Sparse = Eigen::SparseMatrix<Scalar>;

/// Pivots are taken while rounding adds at most 1e5 times 1e-16 to entries of one, a few times
/// over on the way up the tree; half a digit more for the sums.
constexpr double tolerance = 1e-10;

template <class Scalar>
Scalar random_number(Random& random) {
  if constexpr (std::is_same_v<Scalar, double>) {
    return random();
  } else {
    const double real = random();
    return {real, random()};
  }
}

template <class Scalar>
Sparse<Scalar> from_triplets(int n, const std::vector<Eigen::Triplet<Scalar>>& triplets) {
  Sparse<Scalar> matrix(n, n);
  matrix.setFromTriplets(triplets.begin(), triplets.end());
  matrix.makeCompressed();
  return matrix;
}

/// A grid of side x side points tied to their eight neighbours, numbered row by row; the diagonal
/// is `diagonal` times as large as the rest.
template <class Scalar>
Sparse<Scalar> random_grid(int side, double diagonal, unsigned seed) {
  Random random(seed);
  std::vector<Eigen::Triplet<Scalar>> triplets;
  for (int column = 0; column < side * side; ++column) {
    for (int row = 0; row < side * side; ++row) {
      if (std::abs(column % side - row % side) <= 1 && std::abs(column / side - row / side) <= 1) {
        const double size = row == column ? diagonal : 1.0;
        triplets.emplace_back(row, column, size * random_number<Scalar>(random));
      }
    }
  }
  return from_triplets<Scalar>(side * side, triplets);
}

/// [0 B^T; B K] with the zero block first: its pivots lie among the other rows only.
Sparse<double> saddle_point(int n_zero, int n_rest, unsigned seed) {
  Random random(seed);
  std::vector<Eigen::Triplet<double>> triplets;
  for (int k = 0; k < n_rest; ++k) {
    triplets.emplace_back(n_zero + k, n_zero + k, 2.0 + random());
    if (k > 0) {
      triplets.emplace_back(n_zero + k, n_zero + k - 1, random());
    }
  }
  for (int k = 0; k < n_zero; ++k) {
    triplets.emplace_back(k, k, 0.0);
    for (int i = 0; i < 4; ++i) {
      const int row = n_zero + (k + 7 * i) % n_rest;
      triplets.emplace_back(row, k, 1.5 + random());
      triplets.emplace_back(k, row, 1.5 + random());
    }
  }
  return from_triplets<double>(n_zero + n_rest, triplets);
}

template <class Scalar>
SparseMatrix pattern_of(const Sparse<Scalar>& matrix) {
  const int n = static_cast<int>(matrix.cols());
  SparseMatrix pattern{n, {}, {}, std::vector<double>(at(static_cast<int>(matrix.nonZeros())))};
  pattern.column_start.assign(matrix.outerIndexPtr(), matrix.outerIndexPtr() + n + 1);
  pattern.row.assign(matrix.innerIndexPtr(), matrix.innerIndexPtr() + matrix.nonZeros());
  return pattern;
}

template <class Scalar>
std::vector<Scalar> values_of(const Sparse<Scalar>& matrix) {
  return {matrix.valuePtr(), matrix.valuePtr() + matrix.nonZeros()};
}

template <class Scalar>
SparseSolver<Scalar> solver_of(const Sparse<Scalar>& matrix) {
  return {pattern_of(matrix), std::vector<double>(at(static_cast<int>(matrix.cols())), 1.0)};
}

/// Factors and solves; the residual is small, and the solution that of SparseLU as far as the
/// matrix determines it.
template <class Scalar>
void check_against_reference(const Sparse<Scalar>& matrix, SparseSolver<Scalar>& solver) {
  const auto n = static_cast<int>(matrix.cols());
  Random random(5);
  Vector<Scalar> b(n);
  for (int k = 0; k < n; ++k) {
    b[k] = random_number<Scalar>(random);
  }
  REQUIRE(solver.factor(pattern_of(matrix), values_of(matrix)));
  const std::vector<Scalar> solution = solver.solve({b.data(), b.data() + n});
  const Eigen::Map<const Vector<Scalar>> x(solution.data(), n);
  const Vector<double> rest = (matrix * x - b).cwiseAbs();
  const Vector<double> size = matrix.cwiseAbs() * x.cwiseAbs() + b.cwiseAbs();
  CHECK((rest.array() / size.array()).maxCoeff() < tolerance);

  Eigen::SparseLU<Sparse<Scalar>> reference(matrix);
  REQUIRE(reference.info() == Eigen::Success);
  const Vector<Scalar> expected = reference.solve(b);
  const Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic> dense = matrix;
  const Vector<double> response = dense.inverse().cwiseAbs() * size;
  CHECK((((x - expected).cwiseAbs().array()) / response.array()).maxCoeff() < tolerance);
}

template <class Scalar>
void check_against_reference(const Sparse<Scalar>& matrix) {
  SparseSolver<Scalar> solver = solver_of(matrix);
  check_against_reference(matrix, solver);
}

/// The Jacobian of a flow in a box of n x n cells.
SparseMatrix jacobian_of(int n) {
  const Section section = heated_box();
  const TensorMesh mesh = mesh_on(section, graded_axis(1.0, n, 0.3), graded_axis(1.0, n, 0.3));
  const Problem problem = make_problem(section, mesh, tilted(37.0, 1e5), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  Jacobian jacobian = make_jacobian(problem, unknowns);
  (void)refill(problem, unknowns, random_vector(unknowns.n, 31), {100.0, {}}, jacobian);
  return jacobian.matrix;
}

} // namespace

TEST_CASE("Multifrontal: fronts share out unknowns and entries, children before parents",
          "[multifrontal]") {
  for (const SparseMatrix& pattern :
       {jacobian_of(24), pattern_of(random_grid<double>(12, 1.0, 3))}) {
    const Fronts fronts = make_fronts(pattern);
    std::multiset<int> pivots;
    std::multiset<int> entries;
    for (int k = 0; k < static_cast<int>(fronts.fronts.size()); ++k) {
      const Front& front = fronts.fronts[at(k)];
      pivots.insert(front.unknowns.begin(), front.unknowns.begin() + front.pivots);
      entries.insert(front.entry.begin(), front.entry.end());
      CHECK(front.pivots > 0);
      CHECK((front.parent < 0) == (front.behind() == 0));
      CHECK((front.parent < 0 || front.parent > k));
      for (int i = 0; i < front.behind(); ++i) {
        const Front& parent = fronts.fronts[at(front.parent)];
        CHECK(parent.unknowns[at(front.in_parent[at(i)])] == front.unknowns[at(front.pivots + i)]);
      }
    }
    std::vector<int> all(at(pattern.n));
    std::iota(all.begin(), all.end(), 0);
    CHECK(std::equal(pivots.begin(), pivots.end(), all.begin(), all.end()));
    all.resize(pattern.row.size());
    std::iota(all.begin(), all.end(), 0);
    CHECK(std::equal(entries.begin(), entries.end(), all.begin(), all.end()));
  }
}

TEST_CASE("Multifrontal: fill is that of the elimination", "[multifrontal]") {
  // An arrow whose point comes last fills nothing but its last row and column.
  const int n = 200;
  std::vector<Eigen::Triplet<double>> arrow;
  for (int k = 0; k < n; ++k) {
    arrow.emplace_back(k, k, 4.0);
    if (k + 1 < n) {
      arrow.emplace_back(n - 1, k, 1.0);
      arrow.emplace_back(k, n - 1, 1.0);
    }
  }
  const Fronts fronts = make_fronts(pattern_of(from_triplets<double>(n, arrow)));
  CHECK(fronts.factor_size >= at(3 * n - 2));
  CHECK(fronts.factor_size <= at(4 * n)); // zeros where small fronts are one
  // A full matrix is one front.
  const Sparse<double> full =
      Eigen::MatrixXd::Random(20, 20).cwiseAbs().sparseView(); // zeros are improbable
  const Fronts one = make_fronts(pattern_of(full));
  CHECK(one.fronts.size() == 1);
  CHECK(one.factor_size == 400);
}

TEST_CASE("Multifrontal: random matrices with weak diagonals", "[multifrontal]") {
  for (const double diagonal : {1.0, 1e-3, 1e-9, 0.0}) {
    for (const unsigned seed : {1U, 2U, 3U}) {
      CAPTURE(diagonal, seed);
      check_against_reference(random_grid<double>(15, diagonal, seed));
      check_against_reference(random_grid<Complex>(11, diagonal, seed));
    }
  }
}

TEST_CASE("Multifrontal: blocks of zeros on the diagonal", "[multifrontal]") {
  check_against_reference(saddle_point(20, 60, 11));
  check_against_reference(saddle_point(60, 80, 12));
  // Each unknown's only row is the next one's.
  std::vector<Eigen::Triplet<double>> shift;
  for (int k = 0; k < 50; ++k) {
    shift.emplace_back((k + 1) % 50, k, 1.0 + k);
  }
  check_against_reference(from_triplets<double>(50, shift));
}

TEST_CASE("Multifrontal: fronts merged for one matrix serve the next", "[multifrontal]") {
  const Sparse<double> good = random_grid<double>(12, 50.0, 7);
  const Sparse<double> poor = random_grid<double>(12, 0.0, 8);
  SparseSolver<double> solver = solver_of(good);
  check_against_reference(good, solver);
  const long fill = solver.fill();
  check_against_reference(poor, solver);
  CHECK(solver.fill() > fill); // rows of parents were needed: the case is one
  check_against_reference(good, solver);
}

TEST_CASE("Multifrontal: tiny matrices and many trees", "[multifrontal]") {
  check_against_reference(from_triplets<double>(1, {{0, 0, -3.0}}));
  check_against_reference(from_triplets<Complex>(1, {{0, 0, Complex(0.0, -3.0)}}));
  check_against_reference(from_triplets<double>(
      4, {{0, 0, 2.0}, {1, 1, 3.0}, {2, 3, 1.0}, {3, 2, 5.0}, {2, 2, 0.0}, {3, 3, 0.0}}));
}

TEST_CASE("Multifrontal: singular matrices are reported", "[multifrontal]") {
  // Unknowns 0 and 4 stand in row 7 only, far apart in the tree: no values can help.
  Sparse<double> matrix = random_grid<double>(8, 1.0, 4);
  for (const int column : {0, 63}) {
    for (Sparse<double>::InnerIterator entry(matrix, column); entry; ++entry) {
      entry.valueRef() = 0.0;
    }
  }
  SparseSolver<double> solver = solver_of(matrix);
  CHECK_FALSE(solver.factor(pattern_of(matrix), values_of(matrix))); // empty columns
  std::vector<Eigen::Triplet<double>> triplets;
  for (int k = 0; k < 30; ++k) {
    triplets.emplace_back(k, k, k == 0 || k == 20 ? 0.0 : 2.0);
    triplets.emplace_back(29, k, 1.0);
    triplets.emplace_back(k, 29, 1.0);
  }
  const Sparse<double> shared = from_triplets<double>(30, triplets);
  SparseSolver<double> other = solver_of(shared);
  CHECK_FALSE(other.factor(pattern_of(shared), values_of(shared)));
  // The same places with other values are fine, and the solver is too.
  Sparse<double> regular = shared;
  for (int k = 0; k < 30; ++k) {
    regular.coeffRef(k, k) = 3.0;
  }
  check_against_reference(regular, other);
}

TEST_CASE("Multifrontal: any number of threads gives the same bits", "[multifrontal][slow]") {
  const SparseMatrix matrix = jacobian_of(100);
  const std::vector<double> scale(at(matrix.n), 1.0);
  const std::shared_ptr<const Fronts> fronts = analyse(matrix);
  // Enough work for tasks of both kinds, or nothing would be shared.
  CHECK(std::ranges::count_if(fronts->fronts, &Front::forks) > 1);
  CHECK(std::ranges::count_if(fronts->fronts, &Front::splits) > 0);
  const std::vector<double> b = random_vector(matrix.n, 9);
  const std::vector<Complex> turned = [&] {
    std::vector<Complex> values(matrix.value.begin(), matrix.value.end());
    for (Complex& value : values) {
      value *= Complex(1.0, 0.5);
    }
    return values;
  }();
  std::vector<double> first;
  std::vector<Complex> first_complex;
  for (const int threads : {1, 2, 3, 1}) {
    LinearSolver solver(fronts, scale);
    SparseSolver<Complex> complex_solver(fronts, scale);
    bool regular = false;
#pragma omp parallel num_threads(threads)
#pragma omp single
    regular = solver.factor(matrix) && complex_solver.factor(matrix, turned);
    REQUIRE(regular);
    const std::vector<double> x = solver.solve(b);
    const std::vector<Complex> y = complex_solver.solve({b.begin(), b.end()});
    if (first.empty()) {
      first = x;
      first_complex = y;
    }
    CAPTURE(threads);
    CHECK((x == first));
    CHECK((y == first_complex));
  }
}
