#pragma once
// The published optimum of the gap between vertical plates.

#include "solver/air.hpp"

namespace tiltfin {

/// The gap at which vertical, isothermal plates of a height `length` [m] give off most per width,
/// 2.714 (Ra / (S^3 L))^(-1/4) with their rise above the room [K] and air properties at the film
/// temperature [m]. For thin plates, air that enters from the room below and leaves above. Source:
/// Bar-Cohen and Rohsenow, J. Heat Transfer 106 (1984) 116-123.
[[nodiscard]] double best_gap_of_vertical_plates(double length, double rise,
                                                 const AirProperties& air, double gravity);

} // namespace tiltfin
