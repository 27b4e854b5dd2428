#include "post/fits/warm_up.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {

double WarmUp::rise_k(double time_s) const {
  return end_k - (end_k - start_k) * std::exp(-time_s / time_constant_s);
}

double settling_time(double time_constant_s, double left) {
  return -std::log(left) * time_constant_s;
}

std::string soak_length_text(double minutes, double time_constant_s, bool is_at_least) {
  const double settles = settling_time(time_constant_s) / minute_s;
  const std::string first =
      fmt::format("{:.0f} min are {}{:.1f} time constants of this cooler", minutes,
                  is_at_least ? "at most " : "", minutes * minute_s / time_constant_s);
  if (minutes >= settles && !is_at_least) {
    return first +
           fmt::format(", enough for 1 % ({:.0f} min): it drifts for another reason", settles);
  }
  return first + fmt::format("; a soak of {}{:.0f} min settles to 1 %",
                             is_at_least ? "at least " : "", std::ceil(settles));
}

std::vector<SoakMean> thinned(std::span<const SoakMean> means, int n) {
  const auto every = std::max<std::size_t>(1, means.size() / static_cast<std::size_t>(n));
  std::vector<SoakMean> kept;
  for (std::size_t k = 0; k < means.size(); k += every) {
    kept.push_back(means[k]);
  }
  return kept;
}

} // namespace tiltfin
