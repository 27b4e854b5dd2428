#pragma once
// Stability of a steady state: how small disturbances x exp(sigma t) of it grow. They obey the
// equations linearised there, J x = -sigma M x, with the Jacobian J and the time term M of
// solver/assembly. As in every march solids have the heat capacity of air: modes of the air mean
// what they say, modes that live in the solids would in truth be slower.

#include "solver/unknowns.hpp"

#include <atomic>
#include <vector>

namespace tiltfin {

/// A disturbance (real + i imaginary) exp((growth + i frequency) t); what is seen is its real part.
struct Mode {
  double growth = 0.0;    ///< real part of sigma, negative: it decays [1/s]
  double frequency = 0.0; ///< imaginary part of sigma, >= 0 [rad/s]
  double residual = 0.0;  ///< of the eigenpair in the shifted and inverted problem, relative [-]
  State real;             ///< largest change: 1 in units of the state's own ranges
  State imaginary;
};

struct StabilityOptions {
  /// Where modes are looked for: round (0.1 + i w) times the rate of `time_scale_rate`.
  std::vector<double> frequencies{0.0, 1.0, 2.5, 5.0};
  int modes = 6; ///< eigenvalues asked for round each of them
  const std::atomic<bool>* stop = nullptr;
};

/// The modes found round each frequency whose eigenpair holds to 1e-3, fastest growing first, each
/// of a conjugate pair once. Empty when none was found, or when the caller asked to stop: then
/// nothing is known. `state` must be a steady state of `problem`.
/// Method: Arnoldi's (library Spectra) for the real operator Re[(J + s M)^-1 M], whose eigenvectors
/// are those wanted; Parlett and Saad, Linear Algebra Appl. 88/89 (1987) 575-595.
[[nodiscard]] std::vector<Mode> leading_modes(const Problem& problem, const State& state,
                                              const StabilityOptions& options = {});

/// Rate on which a flow of this range of temperatures changes [1/s]: its buoyancy frequency
/// sqrt(g beta dT / height) with the height of what is solid (of all, when nothing is) along
/// gravity, at least the rate of conduction across the section.
[[nodiscard]] double time_scale_rate(const Problem& problem, const State& state);

} // namespace tiltfin
