#pragma once
// Parts of a work that know nothing of each other.

#include <span>
#include <string>
#include <vector>

namespace tiltfin {

/// One of a number of parts, from 1 on.
struct Share {
  int number = 1;
  int of = 1;
};

/// Reads "2/4". Throws InputError, which names `option`.
[[nodiscard]] Share share_in(const std::string& text, const std::string& option);

/// To which of `n` shares, from 0 on, each piece of work goes: the dearest first, each to the share
/// that has least. Two shares differ by the dearest piece at most. Pieces that cost less than 0 go
/// to none (-1).
[[nodiscard]] std::vector<int> deal(std::span<const double> costs, int n);

} // namespace tiltfin
