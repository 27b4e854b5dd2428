#pragma once

namespace tiltfin {

/// The LU of real Jacobians beside Eigen's SparseLU on the same numbering.
void bench_factors();

} // namespace tiltfin
