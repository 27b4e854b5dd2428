#pragma once
// Student's t distribution.

namespace tiltfin {

/// Student's t with 0.975 below it, for 1 or more degrees of freedom, whole or not.
[[nodiscard]] double student_quantile(double degrees);

} // namespace tiltfin
