#include "post/views/refine.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

/// Slope of the data at point k: weighted harmonic mean of the slopes beside it, zero at an
/// extreme; at the ends the slope beside it.
double slope_at(const std::vector<double>& x, const std::vector<double>& f, std::size_t k) {
  const auto secant = [&](std::size_t m) { return (f[m + 1] - f[m]) / (x[m + 1] - x[m]); };
  if (k == 0) {
    return secant(0);
  }
  if (k + 1 == x.size()) {
    return secant(k - 1);
  }
  const double before = secant(k - 1);
  const double after = secant(k);
  if (before * after <= 0.0) {
    return 0.0;
  }
  const double h_before = x[k] - x[k - 1];
  const double h_after = x[k + 1] - x[k];
  const double w_before = 2.0 * h_after + h_before;
  const double w_after = h_after + 2.0 * h_before;
  return (w_before + w_after) / (w_before / before + w_after / after);
}

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

/// Cubic Hermite interpolation of (x, f) at ascending `places` within x.
std::vector<double> interpolated(const std::vector<double>& x, const std::vector<double>& f,
                                 const std::vector<double>& places) {
  std::vector<double> slopes;
  for (std::size_t k = 0; k < x.size(); ++k) {
    slopes.push_back(slope_at(x, f, k));
  }
  std::vector<double> values;
  std::size_t k = 0;
  for (const double place : places) {
    while (k + 2 < x.size() && place >= x[k + 1]) {
      ++k;
    }
    const double h = x[k + 1] - x[k];
    const double t = (place - x[k]) / h;
    const double s = 1.0 - t;
    // Written with differences, so that equal values give exactly that value.
    const double value = f[k] + t * t * (3.0 - 2.0 * t) * (f[k + 1] - f[k]) +
                         h * t * s * (s * slopes[k] - t * slopes[k + 1]);
    const auto [low, high] = std::minmax(f[k], f[k + 1]);
    values.push_back(std::clamp(value, low, high)); // only rounding can be outside
  }
  return values;
}

} // namespace

NodeField refined(const TensorMesh& mesh, const std::vector<double>& node_values,
                  double largest_step) {
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
