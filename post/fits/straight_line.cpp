#include "post/fits/straight_line.hpp"

#include <Eigen/Core>

namespace tiltfin {
namespace {

using Values = Eigen::Map<const Eigen::ArrayXd>;

Values values(std::span<const double> numbers) {
  return {numbers.data(), static_cast<Eigen::Index>(numbers.size())};
}

} // namespace

StraightLine fit_straight_line(std::span<const double> x, std::span<const double> y,
                               std::span<const double> weights) {
  const Values w = values(weights);
  StraightLine line;
  line.weight = w.sum();
  line.mean_x = (w * values(x)).sum() / line.weight;
  line.mean_y = (w * values(y)).sum() / line.weight;
  const Eigen::ArrayXd from_x = values(x) - line.mean_x; // so that nothing cancels
  const Eigen::ArrayXd from_y = values(y) - line.mean_y;
  line.sxx = (w * from_x.square()).sum();
  line.slope = (w * from_x * from_y).sum() / line.sxx;
  line.sum_of_squares = (w * (from_y - line.slope * from_x).square()).sum();
  return line;
}

StraightLine fit_straight_line(std::span<const double> x, std::span<const double> y) {
  const Eigen::ArrayXd ones = Eigen::ArrayXd::Ones(static_cast<Eigen::Index>(x.size()));
  return fit_straight_line(x, y, {ones.data(), x.size()});
}

} // namespace tiltfin
