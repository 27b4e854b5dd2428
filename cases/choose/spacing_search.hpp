#pragma once
// The lowest of a function of a whole number, bracketed by points where it is known.

#include <functional>
#include <map>
#include <optional>
#include <vector>

namespace tiltfin {

/// Values known so far; NaN: known to have none.
using Known = std::map<int, double>;

/// About `n` whole numbers from `low` to `high`, both among them, a constant ratio apart,
/// ascending.
[[nodiscard]] std::vector<int> first_counts(int low, int high, int n);

/// The number with the lowest value, the smaller of two that are equal; none when no value is
/// finite.
[[nodiscard]] std::optional<int> lowest(const Known& known);

/// The number to look at next: halves, by ratio, the wider of the two intervals between the lowest
/// and its known neighbours; none when both neighbours are next to it (or are the ends). A second
/// minimum that lies between the first numbers is not found.
[[nodiscard]] std::optional<int> next_count(const Known& known);

} // namespace tiltfin
