#include "validation/cavity.hpp"

using namespace tiltfin::validation;

TEST_CASE("Square cavity: heat, velocities and streamfunction agree with the benchmarks",
          "[validation]") {
  compare_cavity("square_cavity", 1e6, {"Ra 1e3", "Ra 1e4", "Ra 1e5", "Ra 1e6"});
}
