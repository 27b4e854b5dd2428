#pragma once
// Spreading of heat from a chip into the plate it stands on, in the two directions of the plate and
// through it. A section holds one of the two; the result goes in series with it.

namespace tiltfin {

/// A rectangular source in the middle of a rectangular plate.
struct Spreader {
  double length = 0.0;        ///< of the plate [m]
  double depth = 0.0;         ///< of the plate, across its length [m]
  double thickness = 0.0;     ///< of the plate [m]
  double conductivity = 0.0;  ///< of the plate [W/(m K)]
  double source_length = 0.0; ///< [m]
  double source_depth = 0.0;  ///< [m]
};

/// How far the mean under the source lies above the mean of the plate's face, per watt [K/W]: heat
/// enters evenly over the source and leaves evenly over the other face, the plate's edges are
/// insulated. Fins under the source take more than their share, so this is pessimistic. It is zero
/// for a source as large as the plate. Fourier series of that problem (e.g. Yovanovich, Muzychka
/// and Culham 1999, J. Thermophys. Heat Transfer 13, 495-500, from memory; derived anew).
/// Throws std::invalid_argument when a size is not positive or the source larger than the plate.
[[nodiscard]] double spreading_resistance(const Spreader& spreader);

} // namespace tiltfin
