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
  /// Looked round (growth + i w) times the rate for each of these w alone; empty: up the imaginary
  /// axis until `highest` is covered.
  std::vector<double> frequencies{};
  double growth = 0.1;
  double highest = 3.0; ///< frequency up to which nothing is to be missed, times time_scale_rate
  int modes = 12;       ///< eigenvalues asked for round each shift
  int max_shifts = 8;   ///< each is one factorisation, complex but for the first
  /// Rate at which disturbances of the room's air are damped, times time_scale_rate; its share
  /// follows the calm room's growth, so nothing is damped inside the machine's outline, nor where
  /// there is no calm room. What still grows then lives in the machine.
  double room_damping = 0.0;
  const std::atomic<bool>* stop = nullptr;
};

/// What a search found, and how far it can say that it found all.
struct ModeSearch {
  std::vector<Mode> modes; ///< fastest growing first, each of a conjugate pair once
  /// The discs in which nothing was missed cover the imaginary axis up to here [rad/s]: no neutral
  /// mode of a lower frequency was overlooked. 0: nothing is known.
  double covered = 0.0;
  int factorisations = 0;
};

/// The modes of `state`, a steady state of `problem`, whose eigenpair holds to 1e-3. Shifts go up
/// the imaginary axis, each a disc's radius after the one before: round a shift s nothing nearer
/// than its farthest eigenvalue found can be missing, but for the power of Arnoldi's method to
/// find the largest ones first. No modes, and nothing covered, when the caller asked to stop.
/// Method: Arnoldi's (library Spectra) for the real operator Re[(J + s M)^-1 M], whose eigenvectors
/// are those wanted; Parlett and Saad, Linear Algebra Appl. 88/89 (1987) 575-595. Its eigenvalues
/// are nu = (1 / (s - sigma) + 1 / (conj s - sigma)) / 2; all with |nu| above the smallest found
/// are known, which leaves no room in the disc of `certain_radius`.
[[nodiscard]] ModeSearch leading_modes(const Problem& problem, const State& state,
                                       const StabilityOptions& options = {});

/// Radius round a shift with this imaginary part (>= 0) within which every sigma has |nu| above
/// `smallest`: the smaller root of smallest r^2 - (2 w smallest + 1) r + w = 0, from |nu| >=
/// (1 / r - 1 / (2 w - r)) / 2; 1 / smallest for a real shift.
[[nodiscard]] double certain_radius(double imaginary, double smallest);

/// Rate on which a flow of this range of temperatures changes [1/s]: its buoyancy frequency
/// sqrt(g beta dT / height) with the height of what is solid (of all, when nothing is) along
/// gravity, at least the rate of conduction across the section.
[[nodiscard]] double time_scale_rate(const Problem& problem, const State& state);

} // namespace tiltfin
