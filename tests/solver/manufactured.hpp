#pragma once
// What manufactured solutions are made of and integrated with.

#include "tests/solver/fixtures.hpp"

#include <array>
#include <initializer_list>
#include <utility>
#include <vector>

namespace tiltfin::tests {

/// A polynomial by its coefficients, lowest first.
struct Polynomial {
  std::vector<double> coefficients;

  [[nodiscard]] double operator()(double x) const {
    double sum = 0.0;
    for (auto c = coefficients.rbegin(); c != coefficients.rend(); ++c) {
      sum = sum * x + *c;
    }
    return sum;
  }
  [[nodiscard]] Polynomial derivative() const {
    Polynomial result;
    for (std::size_t k = 1; k < coefficients.size(); ++k) {
      result.coefficients.push_back(static_cast<double>(k) * coefficients[k]);
    }
    return result;
  }
};

/// A polynomial and its first three derivatives.
struct Family {
  explicit Family(std::initializer_list<double> coefficients) : of{Polynomial{coefficients}} {
    for (std::size_t k = 1; k < 4; ++k) {
      of[k] = of[k - 1].derivative();
    }
  }
  [[nodiscard]] double operator()(int derivative, double x) const { return of[at(derivative)](x); }
  std::array<Polynomial, 4> of;
};

/// Gauss's rule with four points: the integral of g from a to b.
template <class Function>
double integrate(double a, double b, Function g) {
  double sum = 0.0;
  for (const auto& [place, weight] : {std::pair{0.3399810435848563, 0.6521451548625461},
                                      std::pair{0.8611363115940526, 0.3478548451374538}}) {
    const double half = 0.5 * (b - a);
    const double middle = 0.5 * (a + b);
    sum += half * weight * (g(middle - half * place) + g(middle + half * place));
  }
  return sum;
}

} // namespace tiltfin::tests
