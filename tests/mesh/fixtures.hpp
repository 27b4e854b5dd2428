#pragma once
// Parts of sections and measures of axes that several tests of the mesh use.

#include "mesh/axis.hpp"
#include "mesh/section.hpp"

#include <algorithm>
#include <string>

namespace tiltfin::tests {

inline Solid solid(const std::string& name, const Rectangle& extent, Role role = Role::fin) {
  Solid result;
  result.name = name;
  result.extent = extent;
  result.role = role;
  return result;
}

inline double largest_ratio(const Axis& axis) {
  double largest = 1.0;
  for (int i = 1; i < axis.n(); ++i) {
    const double ratio = axis.width(i) / axis.width(i - 1);
    largest = std::max({largest, ratio, 1.0 / ratio});
  }
  return largest;
}

inline int cells_between(const Axis& axis, double low, double high) {
  int n = 0;
  for (int i = 0; i < axis.n(); ++i) {
    n += axis.centre(i) > low && axis.centre(i) < high ? 1 : 0;
  }
  return n;
}

} // namespace tiltfin::tests
