#include "solver/slot.hpp"

#include "solver/view_factors.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

namespace tiltfin {

namespace {

std::size_t index(Eigen::Index k) {
  return static_cast<std::size_t>(k);
}

/// Walls, bottom and mouth of a slot of width 1.
struct Slot {
  std::vector<Strip> strips;
  std::vector<int> face; ///< per strip: which of the four it lies on

  /// A face from (x0, y0) to (x1, y1) in `n` strips, short at both ends, where radiosity bends.
  void add(double x0, double y0, double x1, double y1, int n) {
    const auto at = [n](int k) { return 0.5 * (1.0 - std::cos(std::numbers::pi * k / n)); };
    const int number = face.empty() ? 0 : face.back() + 1;
    for (int k = 0; k < n; ++k) {
      const double a = at(k);
      const double b = at(k + 1);
      strips.push_back(
          {x0 + a * (x1 - x0), y0 + a * (y1 - y0), x0 + b * (x1 - x0), y0 + b * (y1 - y0)});
      face.push_back(number);
    }
  }
};

/// Exchange between the zones of walls and bottom, by rows; in the last column with the mouth [m].
/// Straight faces see all of each other and nothing of themselves.
Eigen::MatrixXd exchange(double aspect, int pieces) {
  Slot slot;
  const int n = std::max(pieces, 1);
  slot.add(0.0, aspect, 0.0, 0.0, n);
  slot.add(0.0, 0.0, 1.0, 0.0, n);
  slot.add(1.0, 0.0, 1.0, aspect, n);
  slot.add(1.0, aspect, 0.0, aspect, 1);
  const auto n_walls = static_cast<Eigen::Index>(slot.strips.size()) - 1;
  const Eigen::Index n_zones = pieces > 0 ? n_walls : 1;
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(n_zones, n_zones + 1);
  for (Eigen::Index i = 0; i < n_walls; ++i) {
    for (Eigen::Index j = 0; j <= n_walls; ++j) {
      if (slot.face[index(i)] != slot.face[index(j)]) {
        const Eigen::Index column = j == n_walls ? n_zones : std::min(j, n_zones - 1);
        sum(std::min(i, n_zones - 1), column) +=
            crossed_strings(slot.strips[index(i)], slot.strips[index(j)]);
      }
    }
  }
  return sum;
}

} // namespace

double slot_emissivity(double emissivity, double aspect, int pieces) {
  if (emissivity <= 0.0) {
    return 0.0;
  }
  // A black body radiates 1: J = e + (1 - e) F J; rows of A F add up to the area, mouth included.
  const Eigen::MatrixXd areas = exchange(aspect, pieces);
  const Eigen::Index n = areas.rows();
  const Eigen::VectorXd area = areas.rowwise().sum();
  Eigen::MatrixXd system = -(1.0 - emissivity) * areas.leftCols(n);
  system.diagonal() += area;
  const Eigen::VectorXd radiosity = system.partialPivLu().solve(emissivity * area);
  return areas.col(n).dot(radiosity);
}

} // namespace tiltfin
