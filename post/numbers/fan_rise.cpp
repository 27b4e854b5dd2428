#include "post/numbers/fan_rise.hpp"

#include <algorithm>
#include <cstddef>

namespace tiltfin {

double common_rise(std::span<const FanPart> parts, std::span<const double> rises) {
  double power = 0.0;
  double conductance = 0.0;
  double mean = 0.0;
  bool has_conductances = true;
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const bool has_one = parts[k].power > 0.0 && rises[k] > 0.0;
    has_conductances = has_conductances && has_one;
    mean += parts[k].weight * rises[k];
    power += parts[k].weight * parts[k].power;
    conductance += has_one ? parts[k].weight * parts[k].power / rises[k] : 0.0;
  }
  return has_conductances ? power / conductance : mean;
}

double rises_apart(std::span<const FanPart> parts, std::span<const double> rises) {
  const double common = common_rise(parts, rises);
  const auto [low, high] = std::ranges::minmax_element(rises);
  return common > 0.0 ? (*high - *low) / common : 0.0;
}

} // namespace tiltfin
