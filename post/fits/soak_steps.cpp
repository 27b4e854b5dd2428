#include "post/fits/soak_steps.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr std::size_t fewest_of_step = 10; // as few means as make a soak
constexpr double same_power = 0.10;
constexpr double idle_share = 0.02;
constexpr std::size_t means_per_block = 5;

/// Means `begin` to `end` at about one power.
struct Stretch {
  std::size_t begin = 0;
  std::size_t end = 0;
  double sum_w = 0.0;

  [[nodiscard]] std::size_t size() const { return end - begin; }
  [[nodiscard]] double power_w() const { return sum_w / static_cast<double>(size()); }
};

bool is_same_power(double a, double b, double largest) {
  return std::abs(a - b) <= std::max(same_power * std::max(a, b), idle_share * largest);
}

std::vector<Stretch> stretches_of(std::span<const SoakMean> means, double largest) {
  std::vector<Stretch> all;
  for (std::size_t k = 0; k < means.size(); ++k) {
    if (all.empty() || !is_same_power(all.back().power_w(), means[k].power_w, largest)) {
      all.push_back({k, k, 0.0});
    }
    ++all.back().end;
    all.back().sum_w += means[k].power_w;
  }
  return all;
}

/// Means of blocks of a few means, the last ones left out where they fill none.
std::vector<double> block_rises(std::span<const SoakMean> means) {
  std::vector<double> blocks;
  for (std::size_t k = 0; k + means_per_block <= means.size(); k += means_per_block) {
    double sum = 0.0;
    for (const SoakMean& mean : means.subspan(k, means_per_block)) {
      sum += mean.rise_k;
    }
    blocks.push_back(sum / static_cast<double>(means_per_block));
  }
  return blocks;
}

} // namespace

std::vector<PowerStep> steps_of_power(std::span<const SoakMean> means) {
  double largest = 0.0;
  for (const SoakMean& mean : means) {
    largest = std::max(largest, mean.power_w);
  }
  std::vector<Stretch> kept;
  for (const Stretch& stretch : stretches_of(means, largest)) {
    if (stretch.size() < fewest_of_step) {
      continue;
    }
    if (!kept.empty() && is_same_power(kept.back().power_w(), stretch.power_w(), largest) &&
        stretch.begin - kept.back().end < fewest_of_step) {
      const double power = kept.back().power_w();
      kept.back().end = stretch.end; // with the spike between the two, which does not count
      kept.back().sum_w = power * static_cast<double>(kept.back().size());
      continue;
    }
    kept.push_back(stretch);
  }
  double spacing = minute_s;
  for (std::size_t k = 1; k < means.size(); ++k) {
    const double between = means[k].time_s - means[k - 1].time_s;
    spacing = k == 1 ? between : std::min(spacing, between);
  }
  std::vector<PowerStep> steps;
  for (const Stretch& stretch : kept) {
    if (stretch.power_w() > idle_share * largest) {
      steps.push_back({means[stretch.begin].time_s - 0.5 * spacing,
                       means[stretch.end - 1].time_s + 0.5 * spacing, stretch.power_w()});
    }
  }
  return steps;
}

std::vector<double> new_starts(std::span<const SoakMean> means) {
  const std::vector<double> rises = block_rises(means);
  std::vector<double> starts;
  if (rises.size() < 4) {
    return starts;
  }
  const auto [least, most] = std::ranges::minmax(rises);
  const double range = most - least;
  const auto change = [&](std::size_t k) { return rises[k + 1] - rises[k]; };
  double steepest = 0.0;
  double calmest = 0.0; // since it came to rest; 0: it has not
  for (std::size_t k = 0; k + 2 < rises.size(); ++k) {
    const double a = change(k);
    const double b = change(k + 1);
    const double small = std::min(std::abs(a), std::abs(b));
    const double large = std::max(std::abs(a), std::abs(b));
    if (calmest > 0.0 && a * b > 0.0 && small > std::max(0.1 * steepest, 3.0 * calmest) &&
        std::abs(a + b) > std::max(0.1 * range, 1.0)) {
      starts.push_back(means[(k + 1) * means_per_block].time_s);
      calmest = 0.0;
      steepest = std::abs(a);
      continue;
    }
    if (std::abs(rises[k + 1] - rises.front()) <= 0.1 * range) { // idle
      steepest = 0.0;
      calmest = 0.0;
      continue;
    }
    steepest = std::max(steepest, std::abs(a));
    if (large < 0.25 * steepest) {
      calmest = calmest > 0.0 ? std::min(calmest, large) : std::max(large, 1e-9);
    }
  }
  return starts;
}

} // namespace tiltfin
