#pragma once
// Numbering. The unknowns z hold the streamfunction psi of every free node and of every island
// (a connected solid, or a connected stretch of closed outer wall) and the temperature of every
// cell, with that of the fins and the age of the air where the cell lies in a fin medium, in the
// order of a geometric nested dissection; then one heat flow per link and two unknowns per radiant
// zone. One island (or node) is the reference with psi = 0 and has no unknown.

#include "solver/problem.hpp"

#include <vector>

namespace tiltfin {

/// Fields on the mesh, independent of the numbering.
struct State {
  std::vector<double> psi;               ///< per node: volume flow per depth [m2/s]
  std::vector<double> temperature;       ///< per cell, of the air where it lies in a fin medium [K]
  std::vector<double> link_heat;         ///< per link, from a to b [W/m]
  std::vector<double> fin_temperature{}; ///< of the fins per medium cell [K]
  std::vector<double> air_age{};         ///< per medium cell: time the air has been in the gaps [s]
  std::vector<double> radiosity{};       ///< per radiant zone: emitted and reflected [W/m2]
  std::vector<double> irradiation{};     ///< per radiant zone: what falls onto it [W/m2]
};

struct Unknowns {
  int n = 0;
  std::vector<int> psi;             ///< per node: index into z, or -1 for the reference
  std::vector<int> temperature;     ///< per cell: index into z
  std::vector<int> link;            ///< per link: index into z
  std::vector<int> fin_temperature; ///< per medium cell: index into z
  std::vector<int> air_age;         ///< per medium cell: index into z
  std::vector<int> radiosity;       ///< per radiant zone: index into z
  std::vector<int> irradiation;     ///< per radiant zone: index into z
  std::vector<int> island;          ///< per node: island number, or -1 for a free node
  std::vector<char> no_slip;        ///< per node: the tangential velocity is zero here
  int n_islands = 0;
  int reference_island = -1; ///< island with psi = 0, -1 when a single node is the reference
};

[[nodiscard]] Unknowns number_unknowns(const Problem& problem);

[[nodiscard]] std::vector<double> pack(const Unknowns& unknowns, const State& state);
[[nodiscard]] State unpack(const Unknowns& unknowns, const std::vector<double>& z);

/// Air at rest at `temperature` [K] everywhere, in the radiation of a black space of that
/// temperature.
[[nodiscard]] State rest_state(const Problem& problem, double temperature);

/// Bilinear interpolation of a state from one mesh of a section to another mesh of the same
/// section; islands keep their psi exactly. A radiant zone takes its radiation from the nearest
/// zone of the same surface.
[[nodiscard]] State interpolate(const Problem& from, const State& state, const Problem& to);

/// Velocity on faces, from psi: u on x-faces, v on y-faces [m/s].
[[nodiscard]] std::vector<double> velocity_x(const TensorMesh& mesh, const State& state);
[[nodiscard]] std::vector<double> velocity_y(const TensorMesh& mesh, const State& state);

} // namespace tiltfin
