#include "cases/choose/spacing_search.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tiltfin {
namespace {

/// The middle of two numbers by ratio, none when they are neighbours.
std::optional<int> between(int a, int b) {
  if (b - a < 2) {
    return std::nullopt;
  }
  const int middle = static_cast<int>(std::lround(std::sqrt(static_cast<double>(a) * b)));
  return std::clamp(middle, a + 1, b - 1);
}

} // namespace

std::vector<int> first_counts(int low, int high, int n) {
  std::vector<int> counts;
  for (int k = 0; k < n; ++k) {
    const double share = n > 1 ? static_cast<double>(k) / (n - 1) : 0.0;
    counts.push_back(
        static_cast<int>(std::lround(low * std::pow(static_cast<double>(high) / low, share))));
  }
  counts.push_back(low);
  counts.push_back(high);
  std::ranges::sort(counts);
  counts.erase(std::unique(counts.begin(), counts.end()), counts.end());
  return counts;
}

std::optional<int> lowest(const Known& known) {
  std::optional<int> best;
  for (const auto& [count, value] : known) {
    if (std::isfinite(value) && (!best || value < known.at(*best))) {
      best = count;
    }
  }
  return best;
}

std::optional<int> next_count(const Known& known) {
  const std::optional<int> best = lowest(known);
  if (!best) {
    return std::nullopt;
  }
  const auto here = known.find(*best);
  const auto above = std::next(here);
  const int low = here == known.begin() ? *best : std::prev(here)->first;
  const int high = above == known.end() ? *best : above->first;
  const std::optional<int> fewer = between(low, *best);
  const std::optional<int> more = between(*best, high);
  if (fewer && more) {
    const bool is_wider_above =
        static_cast<double>(high) / *best > static_cast<double>(*best) / low;
    return is_wider_above ? more : fewer;
  }
  return fewer ? fewer : more;
}

} // namespace tiltfin
