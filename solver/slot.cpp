#include "solver/slot.hpp"

#include "solver/view_factors.hpp"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <vector>

namespace tiltfin {

namespace {

std::size_t index(Eigen::Index k) {
  return static_cast<std::size_t>(k);
}

/// Bottom, walls and mouth of a slot of width 1, in this order.
struct Slot {
  std::vector<Strip> strips;
  std::vector<int> face; ///< per strip: which of the four it lies on

  void add(int on, const Strip& strip) {
    face.push_back(on);
    strips.push_back(strip);
  }
};

/// Strips are short at rim and corners, where radiosity bends.
Slot cut(double aspect, int pieces) {
  Slot slot;
  const auto at = [pieces](int k) { return 0.5 * (1.0 - std::cos(std::numbers::pi * k / pieces)); };
  for (int k = 0; k < pieces; ++k) {
    const double low = aspect * at(k);
    const double high = aspect * at(k + 1);
    slot.add(0, {at(k), 0.0, at(k + 1), 0.0});
    slot.add(1, {0.0, high, 0.0, low});
    slot.add(2, {1.0, low, 1.0, high});
  }
  slot.add(3, {1.0, aspect, 0.0, aspect});
  return slot;
}

/// Exchange between the zones of walls and bottom, by rows; in the last column with the mouth [m].
/// Straight faces see all of each other and nothing of themselves.
Eigen::MatrixXd exchange(double aspect, int pieces) {
  const Slot slot = cut(aspect, std::max(pieces, 1));
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
