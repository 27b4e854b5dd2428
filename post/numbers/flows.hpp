#pragma once
// Draft through gaps and openings from psi, recirculation.

#include "mesh/section.hpp"
#include "post/fits/estimate.hpp"
#include "solver/unknowns.hpp"

#include <string>
#include <vector>

namespace tiltfin {

inline constexpr double grams_per_kg = 1000.0;

/// Flow through the air run between two neighbouring solids, at its middle, or across the middle of
/// a fin medium. All errors here are of the discretisation.
struct GapFlow {
  std::string name;           ///< "plate-1 | plate-2", "fins along y"
  Estimate net_flow_kg_per_s; ///< signed: positive towards +y (runs along x) or -x (along y)
  double recirculation = 0.0; ///< 0: all air goes one way; 1: none goes through
  double mean_temperature_c = 0.0;
  /// Net, against gravity; in a level gap to the right of the picture.
  Estimate up_flow_g_per_s{};
  /// Half of the sum of flow either way at both ends (of a medium, all four edges): air that comes
  /// in at both ends has no net flow and yet cools.
  Estimate in_flow_g_per_s{};
};

/// Exchange through an opening: in equals out for a lone opening.
struct OpeningFlow {
  std::string name;
  Estimate in_kg_per_s;
  Estimate out_kg_per_s;
  double in_temperature_c = 0.0; ///< flow-weighted
  double out_temperature_c = 0.0;
};

/// Every fin gap at its middle; every fin medium twice, across its middle along y and along x.
[[nodiscard]] std::vector<GapFlow> gap_flows(const Section& section, const Problem& problem,
                                             const State& state);

/// Share of the air in the fin gaps (and at the middles of media) that turns back, over all of
/// them: 0 when every gap is crossed one way, 1 when none is crossed at all [-]; NaN without fin
/// gaps.
[[nodiscard]] double gap_recirculation(const Section& section, const Problem& problem,
                                       const State& state);

/// Exchange through the section's openings and its open sides ("west side"). In means towards the
/// machine (towards the section when no machine is outlined in it).
[[nodiscard]] std::vector<OpeningFlow> opening_flows(const Section& section, const Problem& problem,
                                                     const State& state);

/// Mean of the velocities on the two faces of a cell each way, from psi; superficial in a medium.
struct CellVelocity {
  double x = 0.0; ///< [m/s]
  double y = 0.0; ///< [m/s]
};
[[nodiscard]] CellVelocity cell_velocity(const TensorMesh& mesh, const State& state, int i, int j);

/// Largest speed in any air cell, in the gaps of a medium that between its fins [m/s].
[[nodiscard]] double air_speed_max(const Problem& problem, const State& state);

} // namespace tiltfin
