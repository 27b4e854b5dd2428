#pragma once
// The arithmetic of one dense front of a multifrontal LU (see solver/multifrontal), on Eigen. Apart
// from what finds and fills the fronts, so that checks of our own indices do not slow it down.

namespace tiltfin {

/// Its memory, by columns. `Scalar`: double or std::complex<double>, const where it is only read.
template <class Scalar>
struct DenseFront {
  int pivots = 0;
  int behind = 0;           ///< rows and columns that the pivots touch
  Scalar* left = nullptr;   ///< (pivots + behind) x pivots
  Scalar* top = nullptr;    ///< pivots x behind
  Scalar* update = nullptr; ///< behind x behind; not used by `forward` and `backward`
};

/// Overwrites `left` and `top` by the factors and takes their product from `update`; `exchanged`
/// [pivots] tells the row that came to each pivot. `splits`: the update in pieces that other
/// threads of an OpenMP team may take; they do not depend on how many there are. False when the
/// pivots are not finite, zero or so small that digits are lost.
template <class Scalar>
[[nodiscard]] bool eliminate(const DenseFront<Scalar>& front, bool splits, int* exchanged);

/// Overwrites `own` [pivots] by L^-1 own and `others` [behind] by what that adds to them.
template <class Scalar>
void forward(const DenseFront<const Scalar>& front, Scalar* own, Scalar* others);

/// Overwrites `own` [pivots] by the solution, given that of `others` [behind].
template <class Scalar>
void backward(const DenseFront<const Scalar>& front, Scalar* own, const Scalar* others);

} // namespace tiltfin
