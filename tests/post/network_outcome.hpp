#pragma once
// Outcomes whose heat paths are given: what a condition would report that is such a network.

#include "mesh/section.hpp"
#include "post/numbers/heat_network.hpp"
#include "solver/air.hpp"

#include <cmath>
#include <string>

namespace tiltfin::tests {

inline constexpr double network_room_c = 25.0;

/// Temperatures above the room by halving an interval, so that nothing of the closed form is used.
struct NetworkTemperatures {
  double base = 0.0;
  double surface = 0.0;
};

inline double share_taken_up(const HeatNetwork& network) {
  return network.film_k_per_w == 0.0
             ? 1.0
             : 1.0 - std::exp(-1.0 / (network.film_k_per_w * network.carrying_w_per_k));
}

inline double off_surface(const HeatNetwork& network, double surface) {
  return (network.carrying_w_per_k * share_taken_up(network) + network.past_w_per_k) *
             (surface - network.feeding_rise_k) +
         network.radiation_w_per_k * surface;
}

inline NetworkTemperatures network_temperatures(const HeatNetwork& network, double released_w) {
  double low = -1e4;
  double high = 1e4;
  const auto base_over = [&](double surface) {
    return surface + network.metal_k_per_w * off_surface(network, surface);
  };
  for (int k = 0; k < 200; ++k) {
    const double surface = 0.5 * (low + high);
    const double heat = off_surface(network, surface) + network.other_w_per_k * base_over(surface);
    (heat < released_w * (1.0 - network.open_share) ? low : high) = surface;
  }
  return {base_over(low), low};
}

inline HeatRow group_row(const std::string& group, double convection, double radiation,
                         double conduction = 0.0) {
  HeatRow row;
  row.account = HeatAccount::groups;
  row.part = row.group = group;
  row.convection_w = {convection, 0.0};
  row.radiation_w = {radiation, 0.0};
  row.conduction_w = {conduction, 0.0};
  row.heat_w = {convection + radiation + conduction, 0.0};
  return row;
}

/// Converged, every error 0.
inline Outcome network_outcome(const HeatNetwork& network, double power_w, const std::string& panel,
                               const std::string& orientation) {
  const NetworkTemperatures rise = network_temperatures(network, power_w);
  Outcome outcome;
  outcome.panel = panel;
  outcome.orientation = orientation;
  outcome.power_w = power_w;
  outcome.status = SolveStatus::converged;
  outcome.film_temperature_c = 35.0;
  outcome.base_rise_mean_k = {rise.base, 0.0};
  outcome.metal_drop_k = {rise.base - rise.surface, 0.0};
  outcome.feeding = Feeding::fed;
  outcome.air_into_fins_c = {network_room_c + network.feeding_rise_k, 0.0};
  const double film = outcome.film_temperature_c + zero_celsius;
  outcome.through_flow_g_per_s = {
      grams_per_kg * network.carrying_w_per_k / air_at(film, film).heat_capacity, 0.0};
  const double radiation = network.radiation_w_per_k * rise.surface;
  const double convection = off_surface(network, rise.surface) - radiation;
  const double other = network.other_w_per_k * rise.base;
  // Some of the convection is the base's; board and case walls share what is left, and the walls
  // give to the air what they take up.
  outcome.heat = {group_row("fin", 0.9 * convection, radiation),
                  group_row("base", 0.1 * convection, 0.0), group_row("source", 0.0, 0.0),
                  group_row("board", 0.7 * other, 0.3 * other), group_row("wall", 1.5, -1.5)};
  outcome.heat[2].released_w = power_w;
  HeatRow rest;
  rest.account = HeatAccount::groups;
  rest.part = "not closed";
  rest.heat_w = {network.open_share * power_w, 0.0};
  outcome.heat.push_back(rest);
  return outcome;
}

/// Of the demo's size: 40 W make it about 15 K warm.
inline HeatNetwork usual_network() {
  HeatNetwork network;
  network.feeding_rise_k = 1.0;
  network.carrying_w_per_k = 2.5;
  network.film_k_per_w = 0.3; // three quarters of what the air could take up
  network.past_w_per_k = 0.0;
  network.radiation_w_per_k = 0.35;
  network.other_w_per_k = 0.3;
  network.metal_k_per_w = 0.02;
  network.open_share = 0.0;
  return network;
}

} // namespace tiltfin::tests
