#include "post/views/refine.hpp"

// clang-format off
#include <math.h> // first: as of Boost 1.74 the next one looks for isnan outside of std
#include <boost/math/interpolators/pchip.hpp>
// clang-format on

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

using Curve = boost::math::interpolators::pchip<std::vector<double>>;
constexpr int fewest_cells = 3; // that it takes

std::vector<double> finer_lines(const Axis& axis, double largest_step) {
  std::vector<double> lines;
  for (int i = 0; i < axis.n(); ++i) {
    const int n = std::max(1, static_cast<int>(std::ceil(axis.width(i) / largest_step)));
    for (int k = 0; k < n; ++k) {
      lines.push_back(axis.at(i) + axis.width(i) * k / n);
    }
  }
  lines.push_back(axis.faces.back());
  return lines;
}

/// Values of the curve through (x, f) at ascending `places` within x.
std::vector<double> interpolated(const std::vector<double>& x, const std::vector<double>& f,
                                 const std::vector<double>& places) {
  const Curve curve(std::vector<double>{x}, std::vector<double>{f});
  std::vector<double> values;
  std::size_t k = 0;
  for (const double place : places) {
    while (k + 2 < x.size() && place >= x[k + 1]) {
      ++k;
    }
    const auto [low, high] = std::minmax(f[k], f[k + 1]);
    values.push_back(std::clamp(curve(place), low, high)); // only rounding can be outside
  }
  return values;
}

} // namespace

NodeField refined(const TensorMesh& mesh, const std::vector<double>& node_values,
                  double largest_step) {
  if (std::min(mesh.x.n(), mesh.y.n()) < fewest_cells) {
    return {mesh.x.faces, mesh.y.faces, node_values};
  }
  NodeField field;
  field.x = finer_lines(mesh.x, largest_step);
  field.y = finer_lines(mesh.y, largest_step);
  std::vector<std::vector<double>> rows; // finer along x, per mesh line along y
  for (int j = 0; j <= mesh.y.n(); ++j) {
    const auto first = node_values.begin() + mesh.node(0, j);
    rows.push_back(
        interpolated(mesh.x.faces, std::vector<double>(first, first + mesh.x.n() + 1), field.x));
  }
  field.values.resize(field.x.size() * field.y.size());
  std::vector<double> column(rows.size());
  for (std::size_t i = 0; i < field.x.size(); ++i) {
    for (std::size_t j = 0; j < rows.size(); ++j) {
      column[j] = rows[j][i];
    }
    const std::vector<double> finer = interpolated(mesh.y.faces, column, field.y);
    for (std::size_t j = 0; j < finer.size(); ++j) {
      field.values[j * field.x.size() + i] = finer[j];
    }
  }
  return field;
}

} // namespace tiltfin
