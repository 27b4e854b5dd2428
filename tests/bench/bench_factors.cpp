#include "tests/bench/bench_factors.hpp"

#include "cases/file/case.hpp"
#include "mesh/index.hpp"
#include "solver/assembly.hpp"
#include "solver/linear.hpp"
#include "solver/scales.hpp"

#include <Eigen/SparseLU>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <string>

namespace tiltfin {

namespace {

constexpr int repetitions = 7; // the best counts, for the machine is shared

template <class Work>
double seconds(const Work& work) {
  const auto begin = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// The numbering as it is. Eigen's NaturalOrdering returns an empty permutation, and SparseLU then
/// drops its postorder of the elimination tree; an explicit identity keeps it.
struct AsNumbered {
  using PermutationType = Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int>;
  template <class AnyMatrix>
  void operator()(const AnyMatrix& matrix, PermutationType& permutation) const {
    permutation.setIdentity(matrix.cols());
  }
};

/// Jacobian of air in slow motion in units of the unknowns, its rows scaled to one.
SparseMatrix scaled_jacobian(const Problem& problem, double& assembly_seconds) {
  const Unknowns unknowns = number_unknowns(problem);
  Jacobian jacobian = make_jacobian(problem, unknowns);
  std::vector<double> z = pack(unknowns, rest_state(problem, 298.15));
  for (std::size_t k = 0; k < z.size(); ++k) { // no two alike
    z[k] += (z[k] > 1.0 ? 5.0 : 2e-4) * std::sin(12.9898 * static_cast<double>(k));
  }
  const std::vector<double> scale = scale_vector(problem, unknowns, {2e-4, 5.0});
  for (int k = 0; k < repetitions; ++k) {
    assembly_seconds = std::min(assembly_seconds, seconds([&] {
                                  (void)refill(problem, unknowns, z, {1.0, {}}, jacobian);
                                }));
  }
  SparseMatrix& matrix = jacobian.matrix;
  std::vector<double> largest(index(matrix.n), 0.0);
  for (std::size_t column = 0; column < index(matrix.n); ++column) {
    for (int k = matrix.column_start[column]; k < matrix.column_start[column + 1]; ++k) {
      double& in_row = largest[index(matrix.row[index(k)])];
      matrix.value[index(k)] *= scale[column];
      in_row = std::max(in_row, std::abs(matrix.value[index(k)]));
    }
  }
  for (std::size_t k = 0; k < matrix.value.size(); ++k) {
    matrix.value[k] /= largest[index(matrix.row[k])];
  }
  return std::move(matrix);
}

struct Timed {
  double factor = 1e9;   ///< [s]
  double solution = 1e9; ///< [s]
};

void compare(const char* name, const Problem& problem) {
  using Matrix = Eigen::SparseMatrix<double>;
  double assembly = 1e9;
  const SparseMatrix matrix = scaled_jacobian(problem, assembly);
  const Eigen::Map<const Matrix> mapped(
      matrix.n, matrix.n, static_cast<Eigen::Index>(matrix.value.size()),
      matrix.column_start.data(), matrix.row.data(), matrix.value.data());
  const Matrix reference_matrix = mapped;
  const Eigen::VectorXd b = reference_matrix * Eigen::VectorXd::Ones(matrix.n);
  const std::vector<double> right_side(b.begin(), b.end());

  Eigen::SparseLU<Matrix, AsNumbered> reference;
  reference.setPivotThreshold(0.1);
  reference.analyzePattern(reference_matrix);
  LinearSolver solver(matrix, std::vector<double>(index(matrix.n), 1.0));
  std::vector<double> x;
  Timed old;
  Timed one;
  Timed two;
  double analysis = 1e9;
  const auto run = [&](Timed& best) {
    best.factor = std::min(best.factor, seconds([&] {
                             if (!solver.factor(matrix)) {
                               std::printf("singular\n");
                             }
                           }));
    best.solution = std::min(best.solution, seconds([&] { x = solver.solve(right_side); }));
  };
  for (int k = 0; k < repetitions; ++k) {
    Eigen::VectorXd y;
    old.factor = std::min(old.factor, seconds([&] { reference.factorize(reference_matrix); }));
    old.solution = std::min(old.solution, seconds([&] { y = reference.solve(b); }));
    analysis = std::min(analysis, seconds([&] { (void)analyse(matrix); }));
    run(one);
#pragma omp parallel num_threads(2)
#pragma omp single
    run(two);
  }
  const Eigen::Map<const Eigen::VectorXd> solution(x.data(), matrix.n);
  std::printf("%-17s %6d unknowns  assembly %.4f s, analysis once %.4f s; factors %.4f s, on two "
              "cores %.4f s, SparseLU %.4f s;  solve %.4f and %.4f s;  fill %.1f and %.1f million; "
              "residual %.0e\n",
              name, matrix.n, assembly, analysis, one.factor, two.factor, old.factor, one.solution,
              old.solution, static_cast<double>(solver.fill()) / 1e6,
              static_cast<double>(reference.nnzL() + reference.nnzU()) / 1e6,
              (reference_matrix * solution - b).cwiseAbs().maxCoeff());
}

} // namespace

void bench_factors() {
  for (const char* name : {"drawn-comb", "small-block", "ring", "observatory-stack"}) {
    const Case the_case = read_case("cases/" + std::string(name) + ".toml");
    const Section& section = the_case.panels.front().sections.front();
    const AirProperties air = air_at(310.0, 298.15);
    for (const int level : {1, 0}) {
      const TensorMesh mesh = make_mesh(section, the_case.resolution, level);
      compare(name, make_problem(section, mesh, {0.0, -standard_gravity, 20.0}, air));
    }
  }
}

} // namespace tiltfin
