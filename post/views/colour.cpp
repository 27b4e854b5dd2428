#include "post/views/colour.hpp"

#include "post/views/memory_guard.hpp"

#include <fmt/format.h>
#include <vtkColorTransferFunction.h>
#include <vtkMath.h>
#include <vtkNew.h>

#include <cmath>

namespace tiltfin {
namespace {

/// L*, a*, b* (CIE 1976, D65): ice, straw, amber, coral, madder, plum.
constexpr std::array<std::array<double, 3>, 6> control_points{{{96.0, -3.0, -6.0},
                                                               {90.0, -4.0, 22.0},
                                                               {78.0, 14.0, 52.0},
                                                               {64.0, 40.0, 46.0},
                                                               {48.0, 55.0, 22.0},
                                                               {33.0, 44.0, -6.0}}};

double lab_distance(const std::array<double, 3>& a, const std::array<double, 3>& b) {
  return std::sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]) +
                   (a[2] - b[2]) * (a[2] - b[2]));
}

} // namespace

std::vector<Colour> temperature_scale(int n) {
  const MemoryGuard guard;
  vtkNew<vtkColorTransferFunction> function;
  function->SetColorSpaceToLab();
  double position = 0.0; // the distance along the scale spaces the points evenly for the eye
  for (std::size_t k = 0; k < control_points.size(); ++k) {
    if (k > 0) {
      position += lab_distance(control_points[k - 1], control_points[k]);
    }
    Colour rgb{};
    vtkMath::LabToRGB(control_points[k].data(), rgb.data());
    function->AddRGBPoint(position, rgb[0], rgb[1], rgb[2]);
  }
  std::vector<Colour> scale;
  for (int k = 0; k < n; ++k) {
    Colour colour{};
    function->GetColor(position * k / (n - 1), colour.data());
    scale.push_back(colour);
  }
  return scale;
}

std::string hex(const Colour& colour) {
  const auto byte = [](double share) { return static_cast<int>(std::lround(255.0 * share)); };
  return fmt::format("#{:02x}{:02x}{:02x}", byte(colour[0]), byte(colour[1]), byte(colour[2]));
}

} // namespace tiltfin
