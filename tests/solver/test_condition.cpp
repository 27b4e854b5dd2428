#include "solver/condition.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <numbers>
#include <stdexcept>

using namespace tiltfin;
using namespace tiltfin::tests;

TEST_CASE("Condition: a named orientation is gravity's direction in the board frame",
          "[condition]") {
  // Board frame: x from board to cooler, y up when the board stands upright.
  CHECK(named_orientation("upright").down == Vector3{0.0, -1.0, 0.0});
  CHECK(named_orientation("upside-down").down == Vector3{0.0, 1.0, 0.0});
  CHECK(named_orientation("flat-up").down == Vector3{-1.0, 0.0, 0.0});
  CHECK(named_orientation("flat-down").down == Vector3{1.0, 0.0, 0.0});
  CHECK(named_orientation("quarter-left").down == Vector3{0.0, 0.0, -1.0});
  CHECK(named_orientation("quarter-right").down == Vector3{0.0, 0.0, 1.0});
  CHECK(named_orientation("flat-down").name == "flat-down");
}

TEST_CASE("Condition: a name that is no orientation is refused by name", "[condition]") {
  CHECK_THROWS_AS(named_orientation("sideways"), std::invalid_argument);
  CHECK_THROWS_WITH(named_orientation("sideways"), ContainsSubstring("sideways"));
  CHECK_THROWS_AS(named_orientation(""), std::invalid_argument);
}

TEST_CASE("Condition: tilts by quarter turns equal the named orientations exactly", "[condition]") {
  CHECK(tilted_orientation(0.0).down == named_orientation("upright").down);
  CHECK(tilted_orientation(90.0).down == named_orientation("flat-up").down);
  CHECK(tilted_orientation(180.0).down == named_orientation("upside-down").down);
  CHECK(tilted_orientation(-90.0).down == named_orientation("flat-down").down);
  CHECK(tilted_orientation(270.0).down == named_orientation("flat-down").down);
  CHECK(tilted_orientation(360.0).down == named_orientation("upright").down);
}

TEST_CASE("Condition: a tilt turns a unit vector in the plane of the section", "[condition]") {
  const double rounding = 2e-15; // of angles up to 2 pi, on both sides of the comparison
  for (const double tilt : {-120.0, -37.0, 12.5, 30.0, 45.0, 135.0, 200.0, 725.0}) {
    CAPTURE(tilt);
    const Vector3 down = tilted_orientation(tilt).down;
    const double angle = std::remainder(tilt, 360.0) * std::numbers::pi / 180.0;
    CHECK_THAT(down[0], WithinAbs(-std::sin(angle), rounding));
    CHECK_THAT(down[1], WithinAbs(-std::cos(angle), rounding));
    CHECK(down[2] == 0.0);
    CHECK_THAT(std::hypot(down[0], down[1]), WithinAbs(1.0, rounding));
  }
  CHECK(tilted_orientation(30.0).name == "tilt-30");
  CHECK(tilted_orientation(-12.5).name == "tilt--12.5");
}

TEST_CASE("Condition: only gravity in the section's plane is in the section", "[condition]") {
  CHECK(is_in_section(named_orientation("upright")));
  CHECK(is_in_section(tilted_orientation(37.0)));
  CHECK_FALSE(is_in_section(named_orientation("quarter-left")));
  CHECK_FALSE(is_in_section({"leaning", {0.0, -0.8, 0.6}}));
}
