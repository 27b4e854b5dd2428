#include "solver/scales.hpp"
#include "tests/solver/fixtures.hpp"

#include <limits>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double not_a_number = std::numeric_limits<double>::quiet_NaN();

/// [ 2 -4 ]
/// [ 0  5 ]
SparseMatrix small_matrix() {
  return {2, {0, 1, 3}, {0, 0, 1}, {2.0, -4.0, 5.0}};
}

struct Furnished {
  Problem problem = rough_problem(furnished_box(), tilted(37.0, 1e4, 1.0));
  Unknowns unknowns = number_unknowns(problem);
};

/// Indices into z of one free psi and of one temperature.
std::size_t some_psi(const Unknowns& unknowns) {
  return at(*std::find_if(unknowns.psi.begin(), unknowns.psi.end(), [](int k) { return k >= 0; }));
}

std::size_t some_temperature(const Unknowns& unknowns) {
  return at(unknowns.temperature[3]);
}

} // namespace

TEST_CASE("Scales: they are the ranges of psi, zero included, and of the temperatures",
          "[scales]") {
  const Furnished box;
  std::vector<double> z = pack(box.unknowns, rest_state(box.problem, room));
  z[some_temperature(box.unknowns)] = room + 7.0;
  z[at(box.unknowns.temperature[4])] = room - 2.0;
  z[some_psi(box.unknowns)] = -30.0;
  Scales scales = measure_scales(box.problem, box.unknowns, z);
  CHECK_THAT(scales.temperature, WithinRel(9.0, 1e-12));
  CHECK(scales.psi == 30.0);
  // The reference island has no unknown; its zero counts all the same.
  for (const int k : box.unknowns.psi) {
    if (k >= 0) {
      z[at(k)] = 12.0;
    }
  }
  z[some_psi(box.unknowns)] = 20.0;
  scales = measure_scales(box.problem, box.unknowns, z);
  CHECK(scales.psi == 20.0);
}

TEST_CASE("Scales: air at rest is measured by its diffusivity and one kelvin", "[scales]") {
  const Furnished box;
  const std::vector<double> z = pack(box.unknowns, rest_state(box.problem, room));
  const Scales scales = measure_scales(box.problem, box.unknowns, z);
  CHECK(scales.psi == box.problem.air.diffusivity());
  CHECK(scales.temperature == 1.0);
}

TEST_CASE("Scales: every unknown has the scale of its kind", "[scales]") {
  const Furnished box;
  std::vector<double> expected(at(box.unknowns.n), 0.0);
  for (const int k : box.unknowns.psi) {
    if (k >= 0) {
      expected[at(k)] = 3.0;
    }
  }
  for (const int k : box.unknowns.temperature) {
    expected[at(k)] = 5.0;
  }
  expected[at(box.unknowns.link.at(0))] = 1.7 * 5.0; // 1.7 W/(K m) between patches 5 K apart
  const std::vector<double> scale = scale_vector(box.problem, box.unknowns, {3.0, 5.0});
  CHECK(*std::min_element(expected.begin(), expected.end()) > 0.0); // none was left out
  CHECK(largest_difference(scale, expected) < 1e-12);
}

TEST_CASE("Scales: a residual is measured by the terms of its own row", "[scales]") {
  // Terms of the rows at scales 1 and 10: 2 + 40 and 50.
  const std::vector<double> scale{1.0, 10.0};
  CHECK_THAT(relative_residual(small_matrix(), {4.2, 0.0}, scale), WithinRel(0.1, 1e-12));
  CHECK_THAT(relative_residual(small_matrix(), {4.2, -10.0}, scale), WithinRel(0.2, 1e-12));
  CHECK(relative_residual(small_matrix(), {0.0, 0.0}, scale) == 0.0);
}

TEST_CASE("Scales: a residual that is not a number is not lost among others", "[scales]") {
  CHECK(std::isnan(relative_residual(small_matrix(), {not_a_number, 1.0}, {1.0, 1.0})));
  CHECK(std::isnan(relative_residual(small_matrix(), {1.0, not_a_number}, {1.0, 1.0})));
}

TEST_CASE("Scales: a change is the largest of psi and temperature, links aside", "[scales]") {
  const Furnished box;
  const std::vector<double> scale = scale_vector(box.problem, box.unknowns, {4.0, 2.0});
  std::vector<double> dz(at(box.unknowns.n), 0.0);
  CHECK(relative_change(box.unknowns, dz, scale) == 0.0);
  dz[at(box.unknowns.link[0])] = 1e6;
  CHECK(relative_change(box.unknowns, dz, scale) == 0.0);
  dz[some_psi(box.unknowns)] = -1.0;
  CHECK(relative_change(box.unknowns, dz, scale) == 0.25);
  dz[some_temperature(box.unknowns)] = 1.0;
  CHECK(relative_change(box.unknowns, dz, scale) == 0.5);
  dz[some_psi(box.unknowns)] = not_a_number;
  CHECK(std::isnan(relative_change(box.unknowns, dz, scale)));
}

TEST_CASE("Scales: the heat imbalance is what the rows miss of the heat released", "[scales]") {
  const Furnished box;
  std::vector<double> f(at(box.unknowns.n), 0.0);
  f[some_psi(box.unknowns)] = 100.0; // no heat
  CHECK(heat_imbalance(box.problem, box.unknowns, f) == 0.0);
  f[some_temperature(box.unknowns)] = -0.3;
  f[at(box.unknowns.temperature[9])] = 0.1;
  // 1 W/m is released.
  CHECK_THAT(heat_imbalance(box.problem, box.unknowns, f), WithinRel(0.2, 1e-9));
}

TEST_CASE("Scales: without heat released there is no imbalance", "[scales]") {
  const Problem problem = rough_problem(heated_box(), tilted(0.0, 1e4));
  const Unknowns unknowns = number_unknowns(problem);
  CHECK(heat_imbalance(problem, unknowns, std::vector<double>(at(unknowns.n), 1.0)) == 0.0);
}
