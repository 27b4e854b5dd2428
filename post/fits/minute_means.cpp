#include "post/fits/minute_means.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr std::size_t most_stretches = 2048;

} // namespace

void MinuteMeans::add(double time_s, double rise_k, double power_w, double ambient_c) {
  const auto minute = static_cast<long long>(std::floor(std::max(time_s, 0.0) / minute_s));
  if (minute != minute_) {
    finish_minute();
    minute_ = minute;
  }
  samples_.n += 1.0;
  samples_.rise_k += rise_k;
  samples_.power_w += power_w;
  samples_.ambient_c += ambient_c;
}

SoakMean MinuteMeans::mean_of(const Sum& sum) {
  return {0.0, sum.rise_k / sum.n, sum.power_w / sum.n, sum.ambient_c / sum.n};
}

void MinuteMeans::finish_minute() {
  if (samples_.n == 0.0) {
    return;
  }
  auto stretch = static_cast<std::size_t>(minute_ / minutes_per_mean_);
  while (stretch >= most_stretches) {
    for (std::size_t k = 0; k < stretches_.size(); ++k) {
      const Sum sum = stretches_[k];
      if (k % 2 == 0) {
        stretches_[k / 2] = sum;
      } else {
        Sum& half = stretches_[k / 2];
        half.n += sum.n;
        half.rise_k += sum.rise_k;
        half.power_w += sum.power_w;
        half.ambient_c += sum.ambient_c;
      }
    }
    stretches_.resize((stretches_.size() + 1) / 2);
    minutes_per_mean_ *= 2;
    stretch /= 2;
  }
  if (stretches_.size() <= stretch) {
    stretches_.resize(stretch + 1);
  }
  const SoakMean mean = mean_of(samples_);
  Sum& sum = stretches_[stretch];
  sum.n += 1.0;
  sum.rise_k += mean.rise_k;
  sum.power_w += mean.power_w;
  sum.ambient_c += mean.ambient_c;
  ++full_minutes_;
  samples_ = {};
}

std::vector<SoakMean> MinuteMeans::means() const {
  MinuteMeans finished = *this;
  finished.finish_minute();
  std::vector<SoakMean> means;
  for (std::size_t k = 0; k < finished.stretches_.size(); ++k) {
    const Sum& sum = finished.stretches_[k];
    if (sum.n > 0.0) {
      means.push_back(mean_of(sum));
      means.back().time_s = (static_cast<double>(k) + 0.5) * finished.minutes_per_mean_ * minute_s;
    }
  }
  return means;
}

long long MinuteMeans::empty_minutes() const {
  const long long all = samples_.n > 0.0 ? full_minutes_ + 1 : full_minutes_;
  return all == 0 ? 0 : minute_ + 1 - all;
}

} // namespace tiltfin
