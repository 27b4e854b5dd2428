#include "solver/slot.hpp"
#include "tests/catch.hpp"

#include <cmath>

using namespace tiltfin;
using namespace tiltfin::tests;

// Tables of textbooks and a recomputation are compared in validation/view_factors.
TEST_CASE("Slot: finer pieces converge with second order", "[slot][order]") {
  for (const double e : {0.05, 0.82}) {
    for (const double aspect : {0.5, 8.0}) { // pieces shorter than the slot is wide
      CAPTURE(e, aspect);
      const double coarse = slot_emissivity(e, aspect, 20);
      const double middle = slot_emissivity(e, aspect, 40);
      const double fine = slot_emissivity(e, aspect, 80);
      CHECK(std::log2((coarse - middle) / (middle - fine)) > 1.9);
      CHECK_THAT(slot_emissivity(e, aspect), WithinAbs(slot_emissivity(e, aspect, 240), 2e-4));
    }
    CHECK_THAT(slot_emissivity(e, 40.0), WithinAbs(slot_emissivity(e, 40.0, 240), 2e-3));
  }
}

TEST_CASE("Slot: limits", "[slot]") {
  CHECK(slot_emissivity(0.0, 3.0) == 0.0);
  CHECK_THAT(slot_emissivity(1.0, 3.0), WithinRel(1.0, 1e-12));
  CHECK_THAT(slot_emissivity(0.3, 1e-6), WithinAbs(0.3, 1e-6)); // a plane: the bottom
  // Weak emitters reflect almost all: two walls and bottom give off all they emit.
  CHECK_THAT(slot_emissivity(1e-6, 2.0), WithinRel(5e-6, 1e-4));
}
