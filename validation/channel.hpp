#pragma once
// What the two checks of a vertical channel share: Nu over the Elenbaas number, and its best gap.

#include <cmath>
#include <map>
#include <string>
#include <vector>

#include "validation/peak.hpp"
#include "validation/reference.hpp"

namespace tiltfin::validation {

/// The spacing S (Ra_S / (S^3 L))^(1/4) = El^(1/4) at which a cooler of fixed size gives off most:
/// its heat goes with Nu / S^2, and S with El^(1/4). `nusselt`: Nu at an Elenbaas number.
template <class Nusselt>
Computed best_spacing(const Nusselt& nusselt) {
  std::vector<double> log_el;
  std::vector<double> heat;
  std::vector<double> coarse_heat;
  Computed last;
  for (const double elenbaas : {40.0, 48.0, 58.0, 69.0, 83.0, 100.0, 120.0}) {
    last = nusselt(elenbaas);
    log_el.push_back(std::log(elenbaas));
    heat.push_back(last.value / std::sqrt(elenbaas));
    coarse_heat.push_back(last.coarse / std::sqrt(elenbaas));
  }
  const auto spacing = [&](const std::vector<double>& f) {
    return std::exp(0.25 * peak(log_el, f).position);
  };
  return {spacing(heat), spacing(coarse_heat), last.mesh};
}

/// Compares Nu at the Elenbaas numbers of a folder's reference, and its optimum spacing.
template <class Nusselt>
void compare_channel(const std::string& folder, const Nusselt& nusselt) {
  std::map<std::string, Computed> by_condition;
  compare(folder, [&](const std::string& quantity, const std::string& condition) {
    if (quantity == "optimum spacing") {
      return best_spacing(nusselt);
    }
    if (by_condition.count(condition) == 0) {
      by_condition[condition] = nusselt(std::stod(condition.substr(3))); // "El "
    }
    return by_condition.at(condition);
  });
}

} // namespace tiltfin::validation
