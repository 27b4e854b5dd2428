#include "post/numbers/metal_drop.hpp"
#include "tests/post/fixtures.hpp"

#include <cmath>

namespace tiltfin::tests {
namespace {

constexpr double warm = 340.0; ///< of the base [K]

/// A base on the west, a fin of 40 mm towards the east.
Section one_fin() {
  Section section;
  section.width = 0.08;
  section.height = 0.06;
  section.solids = {solid_of("base", {0.01, 0.02, 0.01, 0.05}, Role::base),
                    solid_of("fin", {0.02, 0.06, 0.029, 0.031}, Role::fin)};
  section.base = 0;
  return section;
}

double drop_of(const Section& section, const Axis& x, const Axis& y, const Field& temperature) {
  const TensorMesh mesh = mesh_of(section, x, y);
  const Problem problem = make_problem(section, mesh, {0.0, -9.81, 10.0}, hand_air());
  return metal_drop(section, problem, state_of(mesh, constant(0.0), temperature));
}

} // namespace

TEST_CASE("Metal drop: a fin with the temperature of a straight fin", "[why]") {
  // With a tip that gives off nothing, theta = cosh(m (L - x)) / cosh(m L); its mean along the fin
  // is tanh(m L) / (m L), the fin's efficiency (Incropera and DeWitt, ch. 3; from memory). Of all
  // surface, two faces of 40 mm are the fin's and its 2 mm tip; the base has 40 mm behind, 38 in
  // front and twice 10 at its ends.
  const double length = 0.04;
  const double m = 30.0;
  const auto temperature = [&](double x, double) {
    return 300.0 + (x < 0.02 ? warm - 300.0
                             : (warm - 300.0) * std::cosh(m * (length - (x - 0.02))) /
                                   std::cosh(m * length));
  };
  const double on_faces = std::tanh(m * length) / (m * length);
  const double at_tip = 1.0 / std::cosh(m * length);
  const double of_base = 98.0;
  const double mean = (80.0 * on_faces + 2.0 * at_tip + of_base) / (80.0 + 2.0 + of_base);
  // Cells of half a millimetre: the midpoint rule errs by (m dx)^2 / 24 of a theta, the tip's cell
  // ends a quarter of a millimetre before the tip, where theta is flat. Below 1e-4 of the rise.
  CHECK_THAT(drop_of(one_fin(), even_axis(0.08, 160), even_axis(0.06, 60), temperature),
             WithinAbs((1.0 - mean) * (warm - 300.0), 1e-4 * (warm - 300.0)));
}

TEST_CASE("Metal drop: none in metal of one temperature, and unknown without a base", "[why]") {
  Section section = one_fin();
  const Axis x = even_axis(0.08, 80);
  const Axis y = even_axis(0.06, 60);
  CHECK_THAT(drop_of(section, x, y, constant(warm)), WithinAbs(0.0, 1e-9));
  section.base = -1;
  CHECK(std::isnan(drop_of(section, x, y, constant(warm))));
}

TEST_CASE("Metal drop: of a bare source its own surface counts", "[why]") {
  Section section;
  section.width = 0.08;
  section.height = 0.06;
  section.solids = {solid_of("chip", {0.02, 0.06, 0.02, 0.04}, Role::source),
                    solid_of("wall", {0.07, 0.075, 0.01, 0.05}, Role::wall)};
  section.base = 0;
  // Warmest in the middle plane: 10 K less on the two long faces; on the short ones the mean of a
  // straight line, 5 K less, as of the solid. (40 * 10 + 20 * 5) / 60 - 5 of two each.
  const auto temperature = [](double, double y) { return warm - 1000.0 * std::abs(y - 0.03); };
  // Cells of 0.25 mm: the last one's centre is 0.125 mm, 0.125 K, inside.
  CHECK_THAT(drop_of(section, even_axis(0.08, 320), even_axis(0.06, 240), temperature),
             WithinAbs(500.0 / 60.0 - 5.0, 0.125));
}

TEST_CASE("Metal drop: the fins of a medium count by their surface", "[why]") {
  Section section = one_fin();
  section.solids.pop_back();
  section.media = {{"fins", {0.02, 0.06, 0.01, 0.05}, 4e-3, 1e-3, 180.0, 0.1}};
  const TensorMesh mesh = make_mesh(section, {}, 0);
  const Problem problem = make_problem(section, mesh, {0.0, -9.81, 10.0}, hand_air());
  State state = state_of(mesh, constant(0.0), constant(warm));
  state.fin_temperature.assign(problem.media.size(), warm - 10.0);
  // Per metre of depth there are 200 fins with two faces of 40 mm by 40 mm, 0.64 m2. Of the base
  // 40 mm behind and twice 10 at its ends are bare, in front the gaps' 4/5 of 40 mm.
  const double fins = 0.64;
  const double base = 0.04 + 0.02 + 0.8 * 0.04;
  CHECK_THAT(metal_drop(section, problem, state), WithinRel(10.0 * fins / (fins + base), 1e-9));
}

} // namespace tiltfin::tests
