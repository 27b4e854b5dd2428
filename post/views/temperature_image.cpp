#include "post/views/temperature_image.hpp"

#include "post/views/colour.hpp"
#include "post/views/memory_guard.hpp"

#include <vtkBase64Utilities.h>
#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGWriter.h>
#include <vtkUnsignedCharArray.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace tiltfin {
namespace {

/// The cell that holds a position, its neighbour on the position's side (itself at the outer
/// sides), and the neighbour's share in linear interpolation.
struct Neighbours {
  int own = 0;
  int other = 0;
  double share = 0.0;
};

Neighbours neighbours_at(const Axis& axis, double position) {
  Neighbours result;
  result.own = cell_at(axis, position);
  const double offset = position - axis.centre(result.own);
  result.other = std::clamp(result.own + (offset < 0.0 ? -1 : 1), 0, axis.n() - 1);
  if (result.other != result.own) {
    result.share = offset / (axis.centre(result.other) - axis.centre(result.own));
  }
  return result;
}

/// Bilinear among the cells of the same material.
double temperature_at(const TensorMesh& mesh, const State& state, const Neighbours& x,
                      const Neighbours& y) {
  const auto material_of = [&mesh](int cell) { return mesh.region[cell] - mesh.medium_at(cell); };
  const int material = material_of(mesh.cell(x.own, y.own));
  double sum = 0.0;
  double weights = 0.0;
  const auto add = [&](int i, int j, double weight) {
    const int cell = mesh.cell(i, j);
    if (material_of(cell) == material) {
      sum += weight * state.temperature[cell];
      weights += weight;
    }
  };
  add(x.own, y.own, (1.0 - x.share) * (1.0 - y.share));
  add(x.other, y.own, x.share * (1.0 - y.share));
  add(x.own, y.other, (1.0 - x.share) * y.share);
  add(x.other, y.other, x.share * y.share);
  return sum / weights;
}

std::string base64(const unsigned char* bytes, std::size_t size) {
  std::vector<unsigned char> text(4 * ((size + 2) / 3));
  const unsigned long length = vtkBase64Utilities::Encode(bytes, size, text.data());
  return {text.begin(), text.begin() + static_cast<std::ptrdiff_t>(length)};
}

} // namespace

std::string temperature_png(const TensorMesh& mesh, const State& state, const ImageWindow& window) {
  const MemoryGuard guard;
  constexpr int n_colours = 256;
  const std::vector<Colour> scale = temperature_scale(n_colours);
  vtkNew<vtkImageData> image;
  image->SetDimensions(window.n_x, window.n_y, 1);
  image->AllocateScalars(VTK_UNSIGNED_CHAR, 3);
  const double dx = window.seen.width() / window.n_x;
  const double dy = window.seen.height() / window.n_y;
  std::vector<Neighbours> columns;
  columns.reserve(static_cast<std::size_t>(window.n_x));
  for (int i = 0; i < window.n_x; ++i) {
    columns.push_back(neighbours_at(mesh.x, window.seen.x0 + (i + 0.5) * dx));
  }
  auto* pixel = static_cast<unsigned char*>(image->GetScalarPointer());
  for (int j = 0; j < window.n_y; ++j) {
    const Neighbours row = neighbours_at(mesh.y, window.seen.y0 + (j + 0.5) * dy);
    for (int i = 0; i < window.n_x; ++i) {
      const double temperature = temperature_at(mesh, state, columns[i], row);
      const double share = (temperature - window.coldest) / (window.hottest - window.coldest);
      const long index = std::lround(std::clamp(share, 0.0, 1.0) * (n_colours - 1));
      for (const double part : scale[index]) {
        *pixel = static_cast<unsigned char>(std::lround(255.0 * part));
        ++pixel;
      }
    }
  }
  vtkNew<vtkPNGWriter> writer;
  writer->WriteToMemoryOn();
  writer->SetInputData(image);
  writer->Write();
  vtkUnsignedCharArray* png = writer->GetResult();
  return base64(png->GetPointer(0), static_cast<std::size_t>(png->GetNumberOfTuples()));
}

} // namespace tiltfin
