#pragma once
// Newton's method with old factors, corrected by what its own steps show.

#include <vector>

namespace tiltfin {

/// Corrections of iterates that all come from the same old factors: each shows how the Jacobian of
/// the moment differs from the factored one along the last correction (Broyden's good update; see
/// Kelley, Solving Nonlinear Equations with Newton's Method, 2003, section 4.1).
class Broyden {
public:
  /// `scale`: typical size of each unknown, in which lengths are measured; kept by reference.
  explicit Broyden(const std::vector<double>& scale) : scale_(scale) {}

  /// The factors are new.
  void clear();

  /// The correction to take (iterate minus it) in place of `dz`, that of the old factors. Not
  /// finite numbers mean failure.
  [[nodiscard]] std::vector<double> correct(std::vector<double> dz);

private:
  [[nodiscard]] double product(const std::vector<double>& a, const std::vector<double>& b) const;

  const std::vector<double>& scale_;
  std::vector<std::vector<double>> taken_;
  std::vector<double> square_; ///< of their lengths
};

} // namespace tiltfin
