#include "post/numbers/spreading.hpp"
#include "tests/catch.hpp"

#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A strip across the whole depth of a plate so thin that its temperature varies along it alone:
/// k L t T'' = 1 / plate - [under the source] / source, solved by hand. `a`, `b` half lengths.
double thin_strip(const Spreader& plate) {
  const double a = 0.5 * plate.source_length;
  const double b = 0.5 * plate.length;
  const double c = 1.0 / (2.0 * plate.conductivity * plate.depth * plate.thickness);
  const double at_edge = -c * (1.0 / a - 1.0 / b) * a * a / 2.0; // over the middle of the source
  const double under = -c * (1.0 / a - 1.0 / b) * a * a / 6.0;   // mean of the source
  const double outside = (b - a) * at_edge - c * (b - a) * (b - a) * (b - a) / (3.0 * b);
  return under - (a * under + outside) / b;
}

} // namespace

TEST_CASE("Spreading: a small square on a thick square plate has its published value",
          "[spreading]") {
  // R k side = 0.4732 - 0.62075 e + 0.1198 e^3, e = side of the source over side of the plate, for
  // an even flux over a square in a square (Negus, Yovanovich and Beck 1989, J. Heat Transfer 111,
  // 804-807, from memory). Tolerance: such fits are said to hold to 1 %. The rounder fit for all
  // shapes, 0.475 - 0.62 e + 0.13 e^3, lies 1.1 and 1.7 % above the series at 0.4 and 0.5.
  for (const double e : {0.05, 0.1, 0.2, 0.3, 0.4, 0.5}) {
    CAPTURE(e);
    const Spreader plate{0.1, 0.1, 0.2, 50.0, 0.1 * e, 0.1 * e};
    CHECK_THAT(spreading_resistance(plate) * 50.0 * 0.1 * e,
               WithinRel(0.4732 - 0.62075 * e + 0.1198 * e * e * e, 0.01));
  }
}

TEST_CASE("Spreading: along a thin plate it is the exact solution of one dimension",
          "[spreading]") {
  // Thickness over length 1e-3: the part across the thickness is about its square.
  const Spreader plate{0.1, 0.06, 1e-4, 200.0, 0.03, 0.06};
  CHECK_THAT(spreading_resistance(plate), WithinRel(thin_strip(plate), 1e-4));
}

TEST_CASE("Spreading: none under a source as large as the plate, the same turned by a quarter",
          "[spreading]") {
  CHECK_THAT(spreading_resistance({0.1, 0.06, 0.005, 200.0, 0.1, 0.06}), WithinAbs(0.0, 1e-12));
  CHECK_THAT(spreading_resistance({0.1, 0.06, 0.005, 200.0, 0.03, 0.02}),
             WithinRel(spreading_resistance({0.06, 0.1, 0.005, 200.0, 0.02, 0.03}), 1e-12));
}

TEST_CASE("Spreading: sizes that cannot be are refused", "[spreading]") {
  CHECK_THROWS_AS(spreading_resistance({0.1, 0.06, 0.005, 200.0, 0.11, 0.02}),
                  std::invalid_argument);
  CHECK_THROWS_AS(spreading_resistance({0.1, 0.06, 0.0, 200.0, 0.03, 0.02}), std::invalid_argument);
}
