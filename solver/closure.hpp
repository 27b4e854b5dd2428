#pragma once
// Rows of view factors that add up.

#include <span>
#include <vector>

namespace tiltfin {

/// Largest |sum of a row - its length| / length of a matrix by rows, lengths.size() squared [-].
[[nodiscard]] double closure_error(std::span<const double> exchange,
                                   std::span<const double> lengths);

/// Changes the symmetric `exchange` [m] by the smallest symmetric correction, relative to its
/// entries, that makes row i add up to lengths[i]. Entries of pairs that are not `sampled` are
/// taken to be exact and stay, up to what rounding and sampled pairs alone cannot close. Entries of
/// zero stay. Throws std::invalid_argument when a row misses its length by more than 1e-10 of it.
void close_rows(std::span<double> exchange, std::span<const char> sampled,
                std::span<const double> lengths);

} // namespace tiltfin
