#include "post/views/colour.hpp"
#include "post/views/temperature_image.hpp"
#include "tests/post/fixtures.hpp"
#include "tests/scratch.hpp"

#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGReader.h>

#include <cmath>
#include <filesystem>
#include <fstream>

namespace tiltfin::tests {
namespace {

/// Bytes of a base64 text. Source: RFC 4648, table 1.
std::string bytes_of(const std::string& text) {
  const std::string digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string bytes;
  unsigned bits = 0;
  int n_bits = 0;
  for (const char c : text.substr(0, text.find('='))) {
    bits = (bits << 6U) | static_cast<unsigned>(digits.find(c));
    n_bits += 6;
    if (n_bits >= 8) {
      n_bits -= 8;
      bytes += static_cast<char>((bits >> static_cast<unsigned>(n_bits)) & 0xFFU);
    }
  }
  return bytes;
}

} // namespace

TEST_CASE("Temperature image: north is up, east is right, solids end sharply",
          "[temperature_image]") {
  Section section;
  section.width = 0.4;
  section.height = 0.2;
  section.solids = {solid_of("block", {0.2, 0.4, 0.0, 0.2}, Role::other)};
  const TensorMesh mesh = mesh_of(section, even_axis(0.4, 4), even_axis(0.2, 2));
  const Problem problem = make_problem(section, mesh, {0.0, -9.8, 0.0}, hand_air());
  // Air cold in the south and hot in the north, the solid half way.
  const State state = state_of(mesh, constant(0.0), [](double x, double y) {
    return x > 0.2 ? 350.0 : (y > 0.1 ? 400.0 : 300.0);
  });
  ImageWindow window;
  window.seen = {0.0, 0.4, 0.0, 0.2};
  window.n_x = 40;
  window.n_y = 20;
  window.coldest = 300.0;
  window.hottest = 400.0;
  const Scratch scratch("image");
  const std::filesystem::path path = scratch / "image.png";
  std::ofstream(path, std::ios::binary) << bytes_of(temperature_png(mesh, state, window));
  vtkNew<vtkPNGReader> reader;
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkImageData& image = *reader->GetOutput();
  REQUIRE(image.GetDimensions()[0] == 40);
  REQUIRE(image.GetDimensions()[1] == 20);

  const std::vector<Colour> scale = temperature_scale(256);
  const auto is_colour = [&](int i, int j, std::size_t step) { // VTK counts rows from below
    bool same = true;
    for (int part = 0; part < 3; ++part) {
      const double wanted = std::round(255.0 * scale[step][static_cast<std::size_t>(part)]);
      same = same && image.GetScalarComponentAsDouble(i, j, 0, part) == wanted;
    }
    return same;
  };
  CHECK(is_colour(0, 0, 0));     // south-west: cold
  CHECK(is_colour(0, 19, 255));  // north-west: hot
  CHECK(is_colour(39, 10, 128)); // the solid: half way, rounded up
  CHECK(is_colour(20, 19, 128)); // its first column
  CHECK(is_colour(19, 19, 255)); // the air's last column, not mixed with the solid
  CHECK(!is_colour(0, 9, 0));    // the air itself is smooth between cell centres
}

} // namespace tiltfin::tests
