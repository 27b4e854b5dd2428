#include "cases/geometry/fins.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr double rounding = 1e-9; // of a number of fins that just fits

/// Gaps of the common width.
int n_gaps(const FinArray& array, int count) {
  return array.kind == FinKind::plates && array.first_gap == 0.0 ? count : count - 1;
}

} // namespace

FinArray with_count(FinArray array, int count) {
  array.count = count;
  array.gap =
      (array.outer - array.first_gap - count * array.thickness) / std::max(1, n_gaps(array, count));
  return array;
}

CountRange counts_for_gaps(const FinArray& array, double low, double high) {
  // n thicknesses and n - extra gaps (extra 1, or 0 with the first gap of plates like the others)
  const int extra = 1 - n_gaps(array, 1);
  const auto n_for = [&](double gap) {
    return (array.outer - array.first_gap + extra * gap) / (array.thickness + gap);
  };
  CountRange range;
  range.fewest = std::max(1 + extra, static_cast<int>(std::ceil(n_for(high) - rounding)));
  range.most = std::min(static_cast<int>(std::floor(n_for(low) + rounding)),
                        array.kind == FinKind::plates ? most_plates : most_fins);
  return range;
}

double rounded_mm(double length) {
  return std::round(1e9 * length) / 1e6;
}

std::string layout_name(const FinArray& array) {
  std::string name =
      fmt::format("{}-{}_thickness-{}", array.kind == FinKind::plates ? "plates" : "fins",
                  array.count, rounded_mm(array.thickness));
  return array.kind == FinKind::plates ? name
                                       : name + fmt::format("_height-{}", rounded_mm(array.height));
}

} // namespace tiltfin
