#include "validation/cavity.hpp"

using namespace tiltfin::validation;

TEST_CASE("Strongest cavity: heat, velocities and streamfunction agree with the benchmark",
          "[validation]") {
  compare_cavity("strongest_cavity", 1e8, {"Ra 1e8"});
}
