#include "solver/view_factors.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>
#include <stdexcept>
#include <vector>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// The inside of a box, counter-clockwise (south, east, north, west), each side in `n` strips.
std::vector<Strip> box(double width, double height, int n = 1) {
  const std::array<std::array<double, 2>, 5> corner{
      {{0.0, 0.0}, {width, 0.0}, {width, height}, {0.0, height}, {0.0, 0.0}}};
  std::vector<Strip> strips;
  for (std::size_t side = 0; side < 4; ++side) {
    const auto& a = corner[side];
    const auto& b = corner[side + 1];
    const auto at = [&](int k, std::size_t d) { return a[d] + (b[d] - a[d]) * k / n; };
    for (int k = 0; k < n; ++k) {
      strips.push_back({at(k, 0), at(k, 1), at(k + 1, 0), at(k + 1, 1)});
    }
  }
  return strips;
}

/// The outside of a rectangle, looking outwards.
void add_block(std::vector<Strip>& strips, double x0, double x1, double y0, double y1) {
  strips.push_back({x1, y0, x0, y0});
  strips.push_back({x1, y1, x1, y0});
  strips.push_back({x0, y1, x1, y1});
  strips.push_back({x0, y0, x0, y1});
}

/// A F between two groups of strips.
double exchange(const ViewFactors& factors, int a0, int a1, int b0, int b1) {
  double sum = 0.0;
  for (int i = a0; i < a1; ++i) {
    for (int j = b0; j < b1; ++j) {
      sum += factors.at(i, j);
    }
  }
  return sum;
}

double worst_closure(const ViewFactors& factors, const std::vector<Strip>& strips) {
  double worst = 0.0;
  for (int i = 0; i < factors.n; ++i) {
    const double length = strips[static_cast<std::size_t>(i)].length();
    worst = std::max(worst, std::abs(exchange(factors, i, i + 1, 0, factors.n) - length) / length);
  }
  return worst;
}

} // namespace

// The formulas of catalogues are compared in validation/view_factors.
TEST_CASE("View factors: parts of a strip add up to the whole", "[view_factors]") {
  for (const double gap : {0.1, 1.0, 10.0}) {
    CAPTURE(gap);
    const ViewFactors whole = view_factors(box(1.0, gap));
    const ViewFactors parts = view_factors(box(1.0, gap, 7));
    CHECK_THAT(exchange(parts, 0, 7, 14, 21), WithinAbs(whole.at(0, 2), rounding));
    CHECK_THAT(exchange(parts, 0, 7, 7, 14), WithinAbs(whole.at(0, 1), rounding));
  }
}

TEST_CASE("View factors: a block in full view of the walls round it", "[view_factors]") {
  // A convex body sees nothing of itself, so all it gives off reaches the walls; what the walls
  // keep is their length less the body's.
  std::vector<Strip> strips = box(1.0, 0.7, 6);
  add_block(strips, 0.4, 0.55, 0.2, 0.5);
  const ViewFactors factors = view_factors(strips);
  CHECK_THAT(exchange(factors, 24, 28, 0, 24), WithinAbs(0.9, 1e-10));
  CHECK(exchange(factors, 24, 28, 24, 28) == 0.0);
  CHECK_THAT(exchange(factors, 0, 24, 0, 24), WithinAbs(3.4 - 0.9, 1e-10));
}

TEST_CASE("View factors: strips round a block between them", "[view_factors]") {
  // Two strips of 1 a distance 1 apart, a block of thickness t midway between them that leaves w
  // free at either end. Taut strings through one opening (the other closed): both crossed ones bend
  // at a corner of the block, the uncrossed one on its side at two:
  //   A F = 2 (sqrt(w^2 + ((1 + t)/2)^2) - t/2 - 1/2), by Hottel's rule, both openings together.
  const double w = 0.3;
  const double t = 0.1;
  const double exact = 2.0 * (std::hypot(w, 0.5 * (1.0 + t)) - 0.5 * t - 0.5);
  const auto found = [&](int n, int points) {
    std::vector<Strip> strips = box(1.0, 1.0, n);
    add_block(strips, w, 1.0 - w, 0.5 * (1.0 - t), 0.5 * (1.0 + t));
    const ViewFactors factors = view_factors(strips, points);
    CHECK(worst_closure(factors, strips) < 1e-10);
    return exchange(factors, 0, n, 2 * n, 3 * n);
  };
  // Shadows begin and end within a step of the sampling: an error of a step squared at each of the
  // some six places, times slopes near 1.
  CHECK_THAT(found(1, 64), WithinAbs(exact, 6.0 / 64.0 / 64.0));
  CHECK_THAT(found(8, 8), WithinAbs(exact, 6.0 / 64.0 / 64.0));
  CHECK_THAT(found(16, 16), WithinAbs(exact, 6.0 / 256.0 / 256.0));
}

TEST_CASE("View factors: a comb sees its own gaps and the room", "[view_factors]") {
  std::vector<Strip> strips = box(0.4, 0.3, 5);
  const int first = static_cast<int>(strips.size());
  // One gap between two fins on a base, drawn as one outline: depth 0.06, width 0.02.
  const std::array<std::array<double, 2>, 9> outline{{{0.10, 0.10},
                                                      {0.10, 0.17},
                                                      {0.11, 0.17},
                                                      {0.11, 0.11},
                                                      {0.13, 0.11},
                                                      {0.13, 0.17},
                                                      {0.14, 0.17},
                                                      {0.14, 0.10},
                                                      {0.10, 0.10}}};
  for (std::size_t k = 0; k + 1 < outline.size(); ++k) {
    strips.push_back({outline[k][0], outline[k][1], outline[k + 1][0], outline[k + 1][1]});
  }
  const ViewFactors factors = view_factors(strips);
  CHECK(worst_closure(factors, strips) < 1e-10);
  // The three walls of the gap lose the mouth's width to what lies outside.
  CHECK_THAT(exchange(factors, first + 2, first + 5, 0, first), WithinAbs(0.02, rounding));
  // The two fins' inner faces are directly opposed: sqrt(d^2 + s^2) - s.
  CHECK_THAT(factors.at(first + 2, first + 4), WithinAbs(std::hypot(0.06, 0.02) - 0.02, rounding));
  // Before anything was enforced: the sampling of 8 points on the coarse walls of the room.
  CHECK(factors.raw_closure < 0.05);
  CHECK(factors.raw_closure > 0.0);
  CHECK(factors.raw_reciprocity < 0.1);
}

TEST_CASE("View factors: every factor is reciprocal and none negative", "[view_factors]") {
  std::vector<Strip> strips = box(1.0, 0.7, 6);
  add_block(strips, 0.2, 0.3, 0.2, 0.5);
  add_block(strips, 0.5, 0.9, 0.1, 0.15);
  const ViewFactors factors = view_factors(strips);
  for (int i = 0; i < factors.n; ++i) {
    for (int j = 0; j < factors.n; ++j) {
      CHECK(factors.at(i, j) == factors.at(j, i));
      CHECK(factors.at(i, j) >= 0.0);
    }
  }
}

TEST_CASE("View factors: a scene with a hole is refused", "[view_factors]") {
  std::vector<Strip> strips = box(1.0, 1.0);
  strips.pop_back();
  CHECK_THROWS_AS(view_factors(strips), std::invalid_argument);
}
