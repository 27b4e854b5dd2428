#include "post/numbers/heat_network.hpp"

#include "mesh/section.hpp"
#include "solver/air.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

bool is_group(const HeatRow& row, Role role) {
  return row.account == HeatAccount::groups && row.group == name(role);
}

/// Of what the cooler is there for.
bool is_own_heat(const Outcome& outcome, const HeatRow& row) {
  return is_of_cooler(outcome, row) || is_group(row, Role::source);
}

/// Adds a part of a sum; errors add up, too: neighbours on one mesh err alike.
void add_to(Estimate& sum, const Estimate& part) {
  sum.value += part.value;
  sum.error += part.bar();
}

/// Of the tables' range: no outcome lies outside.
double heat_capacity_at(double film_temperature_c) {
  const double film = std::clamp(film_temperature_c + zero_celsius, 200.0, 600.0);
  return air_at(film, film).heat_capacity;
}

constexpr std::array heat_parts{&CoolerHeat::convection_w, &CoolerHeat::radiation_w,
                                &CoolerHeat::other_w};

/// Convection, radiation and the rest add up to what they added up to before; those but `changed`
/// by their amounts.
void make_up(CoolerHeat& heat, Estimate CoolerHeat::*changed, double change) {
  double amounts = 0.0;
  for (const auto part : heat_parts) {
    amounts += part == changed ? 0.0 : std::abs((heat.*part).value);
  }
  for (const auto part : heat_parts) {
    if (part != changed && amounts > 0.0) {
      (heat.*part).value -= change * std::abs((heat.*part).value) / amounts;
    }
  }
}

} // namespace

bool is_of_cooler(const Outcome& outcome, const HeatRow& row) {
  const bool has_cooler = std::ranges::any_of(outcome.heat, [](const HeatRow& one) {
    return is_group(one, Role::fin) || is_group(one, Role::base);
  });
  return has_cooler ? is_group(row, Role::fin) || is_group(row, Role::base)
                    : is_group(row, Role::source);
}

std::optional<CoolerHeat> cooler_heat(const Outcome& outcome, double room_temperature_c) {
  CoolerHeat heat;
  for (Estimate* sum : {&heat.convection_w, &heat.radiation_w, &heat.other_w}) {
    sum->error = 0.0;
  }
  const bool has_own = std::ranges::any_of(outcome.heat, [&](const HeatRow& row) {
    return is_own_heat(outcome, row) && row.released_w > 0.0;
  });
  for (const HeatRow& row : outcome.heat) {
    if (row.account != HeatAccount::groups) {
      continue;
    }
    const bool is_counted = !has_own || is_own_heat(outcome, row);
    heat.released_w += is_counted ? row.released_w : 0.0;
    if (row.group.empty()) { // the last row
      heat.open_w = row.heat_w.value;
    } else if (is_of_cooler(outcome, row)) {
      add_to(heat.convection_w, row.convection_w);
      add_to(heat.radiation_w, row.radiation_w);
      add_to(heat.other_w, row.conduction_w);
    } else {
      add_to(heat.other_w, row.heat_w);
      heat.other_w.value -= is_counted ? 0.0 : row.released_w;
    }
  }
  heat.base_rise_k = outcome.base_rise_mean_k;
  heat.metal_drop_k = outcome.metal_drop_k;
  heat.through_flow_g_per_s = outcome.through_flow_g_per_s;
  heat.feeding_rise_k = {nan, nan};
  if (outcome.feeding == Feeding::fed) {
    heat.feeding_rise_k = {outcome.air_into_fins_c.value - room_temperature_c,
                           outcome.air_into_fins_c.error};
  }
  heat.heat_capacity = heat_capacity_at(outcome.film_temperature_c);
  const bool is_known = heat.released_w > 0.0 && std::isfinite(heat.base_rise_k.value) &&
                        std::isfinite(heat.metal_drop_k.value) &&
                        std::isfinite(heat.through_flow_g_per_s.value);
  return is_known ? std::optional<CoolerHeat>(heat) : std::nullopt;
}

std::array<double, 2> feeding_rises(const CoolerHeat& a, const CoolerHeat& b) {
  const double rise_a = a.feeding_rise_k.value;
  const double rise_b = b.feeding_rise_k.value;
  if (std::isfinite(rise_a) && std::isfinite(rise_b)) {
    return {rise_a, rise_b};
  }
  const double fed = std::isfinite(rise_a) ? rise_a : rise_b;
  const double both = std::isfinite(fed) ? fed : 0.0;
  return {both, both};
}

std::optional<HeatNetwork> heat_network(const CoolerHeat& heat, double feeding_rise_k) {
  const double surface = heat.base_rise_k.value - heat.metal_drop_k.value;
  const double above_feeding = surface - feeding_rise_k;
  const double off_surface = heat.convection_w.value + heat.radiation_w.value;
  if (!(surface > 0.0 && above_feeding > 0.0 && off_surface > 0.0 &&
        heat.convection_w.value > 0.0 && heat.base_rise_k.value > 0.0)) {
    return std::nullopt;
  }
  HeatNetwork network;
  network.feeding_rise_k = feeding_rise_k;
  network.carrying_w_per_k = heat.through_flow_g_per_s.value / grams_per_kg * heat.heat_capacity;
  const double most = network.carrying_w_per_k * above_feeding;
  if (heat.convection_w.value < most) {
    network.film_k_per_w =
        -1.0 / (network.carrying_w_per_k * std::log1p(-heat.convection_w.value / most));
  } else {
    network.past_w_per_k = (heat.convection_w.value - most) / above_feeding;
  }
  network.radiation_w_per_k = heat.radiation_w.value / surface;
  network.other_w_per_k = heat.other_w.value / heat.base_rise_k.value;
  network.metal_k_per_w = heat.metal_drop_k.value / off_surface;
  network.open_share = 1.0 - (off_surface + heat.other_w.value) / heat.released_w;
  return network;
}

double uptake(const HeatNetwork& network) {
  const double units = network.film_k_per_w * network.carrying_w_per_k;
  return units > 0.0 ? -std::expm1(-1.0 / units) : 1.0;
}

double base_rise(const HeatNetwork& network, double released_w) {
  const double air = network.carrying_w_per_k * uptake(network) + network.past_w_per_k;
  const double surface = air + network.radiation_w_per_k;
  const double shrunk = 1.0 + surface * network.metal_k_per_w; // by the metal in series
  const double all = surface / shrunk + network.other_w_per_k;
  if (!(shrunk > 0.0 && all > 0.0)) {
    return nan;
  }
  return (released_w * (1.0 - network.open_share) + air * network.feeding_rise_k / shrunk) / all;
}

std::vector<double> mixed_rises(const HeatNetwork& from, const HeatNetwork& to, double released_w) {
  std::vector<double> rises;
  for (std::size_t subset = 0; subset < std::size_t{1} << network_factors.size(); ++subset) {
    HeatNetwork mixed = from;
    for (std::size_t k = 0; k < network_factors.size(); ++k) {
      if ((subset >> k & 1U) != 0) {
        mixed.*network_factors[k] = to.*network_factors[k];
      }
    }
    rises.push_back(base_rise(mixed, released_w));
  }
  return rises;
}

std::vector<CoolerHeat> with_errors(const CoolerHeat& heat) {
  constexpr std::array numbers{&CoolerHeat::base_rise_k,    &CoolerHeat::metal_drop_k,
                               &CoolerHeat::feeding_rise_k, &CoolerHeat::through_flow_g_per_s,
                               &CoolerHeat::convection_w,   &CoolerHeat::radiation_w,
                               &CoolerHeat::other_w};
  std::vector<CoolerHeat> all;
  for (const auto number : numbers) {
    const Estimate& estimate = heat.*number;
    if (!(std::isfinite(estimate.value) && estimate.bar() > 0.0)) {
      continue;
    }
    CoolerHeat changed = heat;
    (changed.*number).value += estimate.error;
    if (std::ranges::find(heat_parts, number) != heat_parts.end()) {
      make_up(changed, number, estimate.error);
    }
    all.push_back(changed);
  }
  return all;
}

} // namespace tiltfin
