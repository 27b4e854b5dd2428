#pragma once
// A condition as a network of few heat paths that reproduces its base rise exactly, so that the
// difference of two conditions can be split among the paths (post/numbers/order_averaged).
//
//   released (1 - open share) = through + past + radiation + other          [W]
//   through   = carrying * uptake * (surface - feeding)   heat that the through-flow takes along,
//               uptake = 1 - exp(-1 / (film resistance * carrying))
//   past      = past conductance * (surface - feeding)    convection beyond what it could take
//   radiation = radiation conductance * surface
//   other     = other conductance * base                  board, chip, case walls, sides
//   base - surface = metal resistance * (through + past + radiation)
//
// with temperatures as rises above the room. `uptake` is the share of what the through-flow could
// take at most, warmed up to the surfaces; what they give off beyond goes to air that stands, turns
// in eddies or passes outside, and the film resistance is 0 then. That less air takes up more per
// gram is the flow's doing, not another cause. Source of uptake: an exchanger with one side at one
// temperature, e.g. Incropera and DeWitt, ch. 11 (from memory).

#include "post/numbers/outcome.hpp"

#include <array>
#include <optional>
#include <vector>

namespace tiltfin {

/// What an outcome says of its cooler. Errors are of the mesh.
struct CoolerHeat {
  /// In cooler and sources; in the whole section where they release none.
  double released_w = 0.0;
  Estimate base_rise_k; ///< mean, above the room
  Estimate metal_drop_k;
  Estimate feeding_rise_k; ///< of the air that feeds the fins; NaN where none does
  Estimate through_flow_g_per_s;
  double heat_capacity = 0.0; ///< of air [J/(kg K)]
  Estimate convection_w;
  Estimate radiation_w;
  /// Off all other bodies less what they release themselves, and what the cooler conducts into the
  /// section's sides.
  Estimate other_w;
  double open_w = 0.0; ///< what the budget does not close by
};

struct HeatNetwork {
  double feeding_rise_k = 0.0;
  double carrying_w_per_k = 0.0; ///< mass flow times heat capacity
  double film_k_per_w = 0.0;     ///< between surfaces and through-flow
  double past_w_per_k = 0.0;
  double radiation_w_per_k = 0.0;
  double other_w_per_k = 0.0;
  double metal_k_per_w = 0.0;
  double open_share = 0.0; ///< of the heat released [-]
};

/// The numbers of a network, in the order of order_averaged's parts.
inline constexpr std::array network_factors{
    &HeatNetwork::feeding_rise_k, &HeatNetwork::carrying_w_per_k,  &HeatNetwork::film_k_per_w,
    &HeatNetwork::past_w_per_k,   &HeatNetwork::radiation_w_per_k, &HeatNetwork::other_w_per_k,
    &HeatNetwork::metal_k_per_w,  &HeatNetwork::open_share};

/// True of a row that the groups' account gives the cooler: fins, fin media and base, the sources
/// where there are none.
[[nodiscard]] bool is_of_cooler(const Outcome& outcome, const HeatRow& row);

/// Nothing where a number is missing: without base or heat.
[[nodiscard]] std::optional<CoolerHeat> cooler_heat(const Outcome& outcome,
                                                    double room_temperature_c);

/// The feeding rise that two conditions are compared with: each its own; where one of them is not
/// fed, that of the other for both, and the room's (0) where neither is. Air that does not come
/// explains nothing by its temperature.
[[nodiscard]] std::array<double, 2> feeding_rises(const CoolerHeat& a, const CoolerHeat& b);

/// Nothing where no such network is: surfaces no warmer than room and feeding air, or warmed by
/// air.
[[nodiscard]] std::optional<HeatNetwork> heat_network(const CoolerHeat& heat,
                                                      double feeding_rise_k);

/// Share of what the through-flow could take up, 0 to 1 [-].
[[nodiscard]] double uptake(const HeatNetwork& network);

/// The base rise of a network [K]; NaN where its conductances do not add up to a positive one.
[[nodiscard]] double base_rise(const HeatNetwork& network, double released_w);

/// Base rises with every subset of the factors of `to` in the place of those of `from`, in the
/// order of order_averaged [K].
[[nodiscard]] std::vector<double> mixed_rises(const HeatNetwork& from, const HeatNetwork& to,
                                              double released_w);

/// The same numbers with one of them off by its error at a time: as many as have an error. A part
/// of the heat that is off is made up for by the others in proportion, as it is on every mesh.
[[nodiscard]] std::vector<CoolerHeat> with_errors(const CoolerHeat& heat);

} // namespace tiltfin
