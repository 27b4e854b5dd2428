#include "cases/study/share.hpp"

#include "cases/input/input_error.hpp"
#include "mesh/index.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <numeric>

namespace tiltfin {
namespace {

constexpr int most_shares = 100000;

} // namespace

Share share_in(const std::string& text, const std::string& option) {
  Share share;
  char slash = 0;
  int used = 0;
  const int n = std::sscanf(text.c_str(), "%6d%c%6d%n", &share.number, &slash, &share.of, &used);
  if (n != 3 || slash != '/' || static_cast<std::size_t>(used) != text.size() || share.number < 1 ||
      share.of < share.number || share.of > most_shares) {
    throw InputError(fmt::format("{}: found '{}', allowed K/N with K from 1 to N and N up to {}",
                                 option, text, most_shares));
  }
  return share;
}

std::vector<int> deal(std::span<const double> costs, int n) {
  std::vector<int> order(costs.size());
  std::iota(order.begin(), order.end(), 0);
  std::ranges::stable_sort(order, [&](int a, int b) { return costs[index(a)] > costs[index(b)]; });
  std::vector<int> shares(costs.size(), -1);
  std::vector<double> load(index(n), 0.0);
  for (const int piece : order) {
    if (costs[index(piece)] >= 0.0) {
      const auto least = std::ranges::min_element(load);
      *least += costs[index(piece)];
      shares[index(piece)] = static_cast<int>(std::distance(load.begin(), least));
    }
  }
  return shares;
}

} // namespace tiltfin
