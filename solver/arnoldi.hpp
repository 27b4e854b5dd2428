#pragma once
// The largest eigenvalues of an operator by Arnoldi's method with implicit restarts
// (Sorensen, SIAM J. Matrix Anal. Appl. 13 (1992) 357-385, from memory), by Spectra.

#include <complex>
#include <functional>
#include <vector>

namespace tiltfin {

struct Eigenvectors {
  std::vector<std::complex<double>> values;               ///< those that converged, largest first
  std::vector<std::vector<std::complex<double>>> vectors; ///< [value][row]
  bool complete = false;                                  ///< as many converged as were wanted
};

/// Of the real `n` x `n` matrix that `apply` multiplies its argument by; `wanted` < n - 1. Complex
/// ones come in pairs.
[[nodiscard]] Eigenvectors
largest_eigenvectors(int n, int wanted,
                     const std::function<std::vector<double>(const std::vector<double>&)>& apply);

} // namespace tiltfin
