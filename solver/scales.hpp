#pragma once
// Sizes that changes and residuals are measured against.

#include "solver/assembly.hpp"

#include <vector>

namespace tiltfin {

struct Scales {
  double psi = 0.0;         ///< range of psi, at least the air's diffusivity [m2/s]
  double temperature = 0.0; ///< range of the temperatures, at least 1 K [K]
};

[[nodiscard]] Scales measure_scales(const Problem& problem, const Unknowns& unknowns,
                                    const std::vector<double>& z);

/// Scale of every unknown, in the order of z.
[[nodiscard]] std::vector<double> scale_vector(const Problem& problem, const Unknowns& unknowns,
                                               const Scales& scales);

/// Largest |row of the residual| relative to the size of the row's terms; NaN if any row is.
[[nodiscard]] double relative_residual(const SparseMatrix& matrix, const std::vector<double>& f,
                                       const std::vector<double>& scale);

/// Largest change of psi or temperature relative to its scale (link heats, the age of air and
/// radiation follow from them and do not count); NaN if any is.
[[nodiscard]] double relative_change(const Unknowns& unknowns, const std::vector<double>& dz,
                                     const std::vector<double>& scale);

/// Heat that the temperature rows of the residual `f` do not account for, relative to the heat
/// released; 0 when none is.
[[nodiscard]] double heat_imbalance(const Problem& problem, const Unknowns& unknowns,
                                    const std::vector<double>& f);

} // namespace tiltfin
