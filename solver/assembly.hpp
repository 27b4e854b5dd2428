#pragma once
// Residual and Jacobian of the coupled equations, from the same lines.

#include "solver/unknowns.hpp"

#include <vector>

namespace tiltfin {

/// The time term: rate * z - history, for any linear multistep rule. Steady: rate = 0.
/// Pseudo-time from z0 with step dt: rate = 1/dt, history = z0 / dt.
struct TimeTerm {
  double rate = 0.0;           ///< [1/s]
  std::vector<double> history; ///< in the units of z per second; empty: zero
};

/// Residual F(z), one row per unknown: Pa for psi, W/m for temperature (of air and of fins), K for
/// links, m2 for the age of air, W/m2 for the radiosity and irradiation of zones.
[[nodiscard]] std::vector<double> residual(const Problem& problem, const Unknowns& unknowns,
                                           const std::vector<double>& z, const TimeTerm& time = {});

/// Sparse matrix by columns (compressed), row numbers ascending in every column.
struct SparseMatrix {
  int n = 0;
  std::vector<int> column_start; ///< n + 1
  std::vector<int> row;
  std::vector<double> value;
};

/// The Jacobian dF/dz: its pattern is built once, its values are refilled in place. Entries arrive
/// as a stream whose order depends on the mesh alone; `slot` says where each one goes.
struct Jacobian {
  SparseMatrix matrix;
  std::vector<int> slot;
};

[[nodiscard]] Jacobian make_jacobian(const Problem& problem, const Unknowns& unknowns);

/// Refills `jacobian` at z and returns the residual there.
std::vector<double> refill(const Problem& problem, const Unknowns& unknowns,
                           const std::vector<double>& z, const TimeTerm& time, Jacobian& jacobian);

} // namespace tiltfin
