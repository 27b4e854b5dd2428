#include "solver/slot.hpp"
#include "tests/catch.hpp"

#include <array>
#include <cmath>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

TEST_CASE("Slot: with one radiosity, the enclosure of three surfaces", "[slot]") {
  const std::array<double, 4> aspects{1.0, 2.0, 4.0, 8.0};
  const std::array<std::pair<double, std::array<double, 4>>, 4> table{
      {{0.05, {0.136, 0.208, 0.321, 0.472}},
       {0.2, {0.429, 0.556, 0.692, 0.810}},
       {0.8, {0.923, 0.952, 0.973, 0.986}},
       {0.9, {0.964, 0.978, 0.988, 0.994}}}};
  for (const auto& [e, row] : table) {
    for (std::size_t k = 0; k < 4; ++k) {
      CAPTURE(e, aspects[k]);
      const double lumped = slot_emissivity(e, aspects[k], 0);
      CHECK_THAT(lumped, WithinAbs(row[k], 0.5001e-3)); // three digits are printed, recomputed
      CHECK_THAT(lumped,
                 WithinRel(1.0 / (1.0 + (1.0 / e - 1.0) / (2.0 * aspects[k] + 1.0)), 1e-12));
    }
  }
}

TEST_CASE("Slot: finer pieces converge with second order", "[slot][order]") {
  for (const double e : {0.05, 0.82}) {
    for (const double aspect : {0.5, 8.0}) {
      CAPTURE(e, aspect);
      const double coarse = slot_emissivity(e, aspect, 16);
      const double middle = slot_emissivity(e, aspect, 32);
      const double fine = slot_emissivity(e, aspect);
      CHECK(std::log2((coarse - middle) / (middle - fine)) > 1.9);
      CHECK_THAT(fine, WithinAbs(slot_emissivity(e, aspect, 200), 2e-4)); // as promised
    }
  }
}

TEST_CASE("Slot: limits", "[slot]") {
  CHECK(slot_emissivity(0.0, 3.0) == 0.0);
  CHECK_THAT(slot_emissivity(1.0, 3.0), WithinRel(1.0, 1e-12));
  CHECK_THAT(slot_emissivity(0.3, 1e-6), WithinAbs(0.3, 1e-6)); // a plane: the bottom
  // Weak emitters reflect almost all: two walls and bottom give off all they emit.
  CHECK_THAT(slot_emissivity(1e-6, 2.0), WithinRel(5e-6, 1e-4));
}
