#pragma once
// A value with its derivatives with respect to a few local unknowns: the Jacobian of a stencil
// comes from the same lines as the stencil.

#include <array>
#include <cmath>
#include <cstddef>

namespace tiltfin {

template <int N>
struct Dual {
  double value = 0.0;
  std::array<double, N> slope{};

  Dual() = default;
  Dual(double constant) : value(constant) {} // NOLINT(google-explicit-constructor): a number

  /// The unknown number `k` itself.
  [[nodiscard]] static Dual unknown(double value, int k) {
    Dual result(value);
    result.slope[static_cast<std::size_t>(k)] = 1.0;
    return result;
  }

  Dual& operator+=(const Dual& other) { return combine(other, 1.0, 1.0, value + other.value); }
  Dual& operator-=(const Dual& other) { return combine(other, 1.0, -1.0, value - other.value); }
  Dual& operator*=(const Dual& other) {
    return combine(other, other.value, value, value * other.value);
  }
  Dual& operator/=(const Dual& other) {
    const double quotient = value / other.value;
    return combine(other, 1.0 / other.value, -quotient / other.value, quotient);
  }
  Dual& operator+=(double constant) {
    value += constant;
    return *this;
  }
  Dual& operator*=(double constant) {
    value *= constant;
    for (double& s : slope) {
      s *= constant;
    }
    return *this;
  }

  friend Dual operator+(Dual a, const Dual& b) { return a += b; }
  friend Dual operator-(Dual a, const Dual& b) { return a -= b; }
  friend Dual operator*(Dual a, const Dual& b) { return a *= b; }
  friend Dual operator/(Dual a, const Dual& b) { return a /= b; }
  friend Dual operator+(Dual a, double b) { return a += b; }
  friend Dual operator+(double a, Dual b) { return b += a; }
  friend Dual operator-(Dual a, double b) { return a += -b; }
  friend Dual operator-(double a, Dual b) { return (b *= -1.0) += a; }
  friend Dual operator*(Dual a, double b) { return a *= b; }
  friend Dual operator*(double a, Dual b) { return b *= a; }
  friend Dual operator/(Dual a, double b) { return a *= 1.0 / b; }
  friend Dual operator-(Dual a) { return a *= -1.0; }

private:
  Dual& combine(const Dual& other, double own_factor, double other_factor, double new_value) {
    for (std::size_t k = 0; k < static_cast<std::size_t>(N); ++k) {
      slope[k] = own_factor * slope[k] + other_factor * other.slope[k];
    }
    value = new_value;
    return *this;
  }
};

/// The root of a positive number.
template <int N>
Dual<N> sqrt(Dual<N> a) {
  const double root = std::sqrt(a.value);
  a *= 0.5 / root;
  a.value = root;
  return a;
}

/// A positive number to a constant power.
template <int N>
Dual<N> pow(Dual<N> a, double exponent) {
  const double power = std::pow(a.value, exponent);
  a *= exponent * power / a.value;
  a.value = power;
  return a;
}

inline double value_of(double number) {
  return number;
}
template <int N>
double value_of(const Dual<N>& number) {
  return number.value;
}

} // namespace tiltfin
