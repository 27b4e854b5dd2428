#include "cases/file/conditions.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using tiltfin::tests::ContainsSubstring;

TEST_CASE("Conditions: gravity outside the section is refused with what can be asked",
          "[conditions]") {
  for (const Orientation& orientation : named_orientations()) {
    CAPTURE(orientation.name);
    if (is_in_section(orientation)) {
      CHECK_NOTHROW(check_in_section(orientation, "here"));
    } else {
      CHECK_THROWS_WITH(check_in_section(orientation, "here"),
                        ContainsSubstring("here: found " + orientation.name +
                                          ", allowed upright, flat-up, flat-down, upside-down or a "
                                          "tilt; orientation " +
                                          orientation.name + ": gravity has a part along z"));
    }
  }
  CHECK_NOTHROW(check_in_section(tilted_orientation(37.0), "here"));
}
