#include "cases/geometry/fan.hpp"

#include "mesh/index.hpp"

#include <cmath>
#include <numbers>
#include <variant>

namespace tiltfin {
namespace {

struct Legendre {
  double value = 0.0;
  double slope = 0.0;
};

/// The polynomial of degree n at x, |x| below 1, by its three-term recurrence.
Legendre legendre(int n, double x) {
  double before = 1.0;
  double value = x;
  for (int k = 2; k <= n; ++k) {
    const double next = ((2.0 * k - 1.0) * x * value - (k - 1.0) * before) / k;
    before = value;
    value = next;
  }
  return {value, n * (before - x * value) / (1.0 - x * x)};
}

} // namespace

std::vector<FanPart> fan_of_sections(int n) {
  if (n < 2) {
    return {FanPart{}};
  }
  constexpr double whole_deg = 90.0;
  constexpr int newton_steps = 8; // from this start five reach the last digit
  std::vector<FanPart> fan(index(n));
  for (int k = 0; k < n; ++k) {
    double x = std::cos(std::numbers::pi * (k + 0.75) / (n + 0.5));
    for (int step = 0; step < newton_steps; ++step) {
      const Legendre there = legendre(n, x);
      x -= there.value / there.slope;
    }
    const double slope = legendre(n, x).slope;
    fan[index(k)].angle_deg = 0.5 * whole_deg * (1.0 - x);
    fan[index(k)].weight = 1.0 / ((1.0 - x * x) * slope * slope);
  }
  return fan;
}

std::vector<FanPart> fan_of(const Cooler& cooler, const Orientation& orientation) {
  const Ring* ring = std::get_if<Ring>(&cooler);
  const bool is_across = std::abs(orientation.down[1]) > 1e-9; // as can_answer has it
  return fan_of_sections(ring != nullptr && is_across ? ring->fan_sections : 1);
}

} // namespace tiltfin
