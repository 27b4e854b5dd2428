#include "validation/cavity.hpp"

using namespace tiltfin::validation;

TEST_CASE("Strong cavity: heat, velocities and streamfunction agree with the benchmark",
          "[validation]") {
  compare_cavity("strong_cavity", 1e7, {"Ra 1e7"});
}
