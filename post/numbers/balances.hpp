#pragma once
// Heat by surface, and closure of heat and mass.

#include "mesh/section.hpp"
#include "solver/unknowns.hpp"

#include <array>
#include <vector>

namespace tiltfin {

/// Heat that crosses each side of the section, conduction, convection and radiation, positive
/// outwards, by SideName [W/m]. Convection counts from the side's temperature (incoming air of an
/// open side).
[[nodiscard]] std::array<double, 4> side_heat(const Problem& problem, const State& state);

/// Net radiation [W/m] that leaves each solid, in the order of section.solids, and each fin medium,
/// in that of section.media, and that each side of the section receives, by SideName.
struct SurfaceRadiation {
  std::vector<double> solids;
  std::vector<double> media;
  std::array<double, 4> sides{};
};
[[nodiscard]] SurfaceRadiation surface_radiation(const Section& section, const Problem& problem,
                                                 const State& state);

/// Heat from each solid of the section to the air [W/m], in the order of section.solids; heat that
/// it passes into the fins of a medium is theirs (medium_heat).
[[nodiscard]] std::vector<double> solid_heat(const Section& section, const Problem& problem,
                                             const State& state);

/// Heat from the metal of each fin medium to the air, between the fins and across their edges, in
/// the order of section.media [W/m].
[[nodiscard]] std::vector<double> medium_heat(const Section& section, const Problem& problem,
                                              const State& state);

struct Balance {
  double released = 0.0; ///< [W/m]
  double lost = 0.0;     ///< through all sides, net [W/m]
  double turnover = 0.0; ///< released plus what isothermal and film sides put in [W/m]
  double error = 0.0;    ///< |released - lost| / turnover [-]
};
[[nodiscard]] Balance heat_balance(const Problem& problem, const State& state);

/// Largest mass imbalance of any cell divided by the largest face flow [-].
[[nodiscard]] double mass_error(const Problem& problem, const State& state);

/// Mean and maximum temperature of a solid, by area [K].
struct SolidTemperature {
  double mean = 0.0;
  double max = 0.0;
};
[[nodiscard]] SolidTemperature solid_temperature(const Problem& problem, const State& state,
                                                 int solid);

} // namespace tiltfin
