#include "post/fits/least_squares.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

namespace tiltfin::tests {

TEST_CASE("Least squares: a saturating curve agrees with a statistics library", "[least_squares]") {
  // scipy.optimize.curve_fit, SciPy 1.10.1, on a - b exp(-t / c): values, standard errors and sum
  // of squares as printed. 1e-5: both stop at about 1e-8 of the sum of squares, and the covariance
  // takes its derivatives by differences.
  const std::array<double, 10> y{3.1, 9.0, 13.9, 17.2, 20.3, 22.1, 23.9, 25.0, 25.7, 26.6};
  const auto residuals = [&](std::span<const double> p, std::span<double> r) {
    for (std::size_t k = 0; k < y.size(); ++k) {
      r[k] = p[0] - p[1] * std::exp(-4.0 * static_cast<double>(k) / p[2]) - y[k];
    }
  };
  const std::vector<double> start{25.0, 20.0, 10.0};
  const LeastSquares fit = minimise_squares(residuals, start, 10);
  CHECK(fit.is_converged);
  CHECK_THAT(fit.parameters[0], WithinRel(28.830368832721778, 1e-5));
  CHECK_THAT(fit.parameters[1], WithinRel(25.80824667921972, 1e-5));
  CHECK_THAT(fit.parameters[2], WithinRel(14.763994183394919, 1e-5));
  CHECK_THAT(fit.sum_of_squares, WithinRel(0.16833678024733234, 1e-5));
  const double variance = fit.sum_of_squares / 7.0;
  CHECK_THAT(std::sqrt(variance * fit.inverse_normal[0]), WithinRel(0.22168027867853754, 1e-5));
  CHECK_THAT(std::sqrt(variance * fit.inverse_normal[4]), WithinRel(0.2117912992581545, 1e-5));
  CHECK_THAT(std::sqrt(variance * fit.inverse_normal[8]), WithinRel(0.33470456243552404, 1e-5));
}

TEST_CASE("Least squares: parameters that act alike are found out", "[least_squares]") {
  const auto alike = [](std::span<const double> p, std::span<double> r) {
    for (std::size_t k = 0; k < r.size(); ++k) {
      r[k] = static_cast<double>(k) * (p[0] + 2.0 * p[1]) - 3.0 * static_cast<double>(k);
    }
  };
  const std::vector<double> start{0.5, 0.5};
  CHECK(minimise_squares(alike, start, 5).independence < 1e-6);
  const auto idle = [](std::span<const double> p, std::span<double> r) {
    r[0] = p[0] - 1.0;
    r[1] = 2.0 * p[0] - 2.0;
  };
  const LeastSquares fit = minimise_squares(idle, start, 2);
  CHECK(fit.independence == 0.0);
  CHECK(std::isinf(fit.inverse_normal[3]));
  CHECK_THROWS_AS(minimise_squares(idle, start, 1), std::invalid_argument);
}

} // namespace tiltfin::tests
