#include "cases/file/conditions.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using tiltfin::tests::ContainsSubstring;

TEST_CASE("Conditions: gravity outside the section is refused with what can be asked",
          "[conditions]") {
  const Section plane;
  for (const Orientation& orientation : named_orientations()) {
    CAPTURE(orientation.name);
    if (is_in_section(orientation)) {
      CHECK_NOTHROW(check_in_section(plane, orientation, "here"));
    } else {
      CHECK_THROWS_WITH(check_in_section(plane, orientation, "here"),
                        ContainsSubstring("here: found " + orientation.name +
                                          ", allowed upright, flat-up, flat-down, upside-down or a "
                                          "tilt; orientation " +
                                          orientation.name + ": gravity has a part along z"));
    }
  }
  CHECK_NOTHROW(check_in_section(plane, tilted_orientation(37.0), "here"));
}

TEST_CASE("Conditions: a body of revolution answers for gravity along its axis alone",
          "[conditions][round]") {
  Section round;
  round.axis_distance = 0.0;
  for (const Orientation& orientation :
       {named_orientation("flat-up"), named_orientation("flat-down"), tilted_orientation(90.0),
        tilted_orientation(-90.0)}) {
    CAPTURE(orientation.name);
    CHECK_NOTHROW(check_in_section(round, orientation, "here"));
  }
  for (const Orientation& orientation :
       {named_orientation("upright"), named_orientation("upside-down"),
        named_orientation("quarter-left"), tilted_orientation(89.0)}) {
    CAPTURE(orientation.name);
    CHECK_THROWS_WITH(check_in_section(round, orientation, "here"),
                      ContainsSubstring("here: found " + orientation.name +
                                        ", allowed flat-up, flat-down or a tilt of 90 or -90; "
                                        "orientation " +
                                        orientation.name + ": gravity does not point along x"));
  }
}
