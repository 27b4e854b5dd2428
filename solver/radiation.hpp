#pragma once
// Grey diffuse radiation between the surfaces of the section: solids, walls of the section, edges
// of fin media, and its open sides, which are black at the temperature of the room beyond. Air is
// transparent, as dry air over decimetres is. A symmetry side is a mirror; two that face each other
// would see images without end and reflect diffusely instead. In a body of revolution every surface
// is a ring (solver/ring_factors): a symmetry side across the axis is a mirror, one round the axis
// reflects diffusely, and the axis itself is no surface.
//
// A fin medium is a body that hides what is behind it. Where it borders on clear air, the edges of
// its fins show their own emissivity and the mouths of its gaps that of a slot (solver/slot) as
// deep as the gap behind them, or half as deep where the gap ends in clear air again, all at the
// temperature of the fins there. Faces inside it (a base between the fins) belong to the slots and
// are no zones. An edge of a medium on an outer side of the section neither radiates nor receives.
//
// Every face emits at its own temperature; what falls onto it is uniform over a zone, a straight
// run of faces of one surface. The equations are in solver/equations.hpp, their data are here.

#include "mesh/tensor_mesh.hpp"
#include "solver/view_factors.hpp"

#include <array>
#include <vector>

namespace tiltfin {

inline constexpr double stefan_boltzmann = 5.670374e-8; ///< [W/(m2 K4)]; CODATA, exact digits cut

struct RadiantZone {
  Strip strip;          ///< looks into the air
  int solid = -1;       ///< of the section, -1: none
  int medium = -1;      ///< of the section, -1: none; neither: an outer side
  SideName side = west; ///< when it is one
  double emissivity = 0.0;
  double area = 0.0; ///< per metre of Section::depth: of a plane section the strip's length [m]

  [[nodiscard]] bool is_side() const { return solid < 0 && medium < 0; }
};

/// Zones of a section on one mesh and the view factors between them. It depends on neither the
/// condition nor the air's properties.
struct RadiantZones {
  std::vector<RadiantZone> zones;
  std::vector<int> zone_of_x_face; ///< per face (as in Problem::face_x), -1: none
  std::vector<int> zone_of_y_face;
  std::vector<int> start;       ///< per zone, and one more: its entries in the two lists below
  std::vector<int> seen;        ///< a zone that it sees
  std::vector<double> factor;   ///< view factor to it; reciprocal and closed to 1e-10
  double raw_reciprocity = 0.0; ///< see ViewFactors
  double raw_closure = 0.0;

  [[nodiscard]] int n() const { return static_cast<int>(zones.size()); }
};

/// True when any surface of the section emits. Without, nothing radiates: open sides alone do not
/// count.
[[nodiscard]] bool radiates(const Section& section);

/// The zones of `section` on `mesh`; none when nothing radiates. Zones are about as long as
/// section.radiant_zone (0: the length of all solid surfaces and walls over 120) and never
/// shorter than a face; every stretch of an open side is one zone.
[[nodiscard]] RadiantZones make_radiant_zones(const Section& section, const TensorMesh& mesh);

/// One face of a surface that emits, with what conducts heat to it.
struct RadiantFace {
  int zone = 0;
  std::array<int, 2> cell{-1, -1}; ///< behind the surface (-1: none) and the air's in front of it
  int medium = -1;                 ///< index into Problem::media of the cell behind, -1: none
  double area = 0.0;               ///< per metre of depth [m]
  double emissivity = 0.0;
  double behind = 0.0;   ///< conductance from the cell or the outside behind it [W/(m K)]
  double front = 0.0;    ///< conductance to the centre of the air cell [W/(m K)]
  double outside = 0.0;  ///< temperature behind it where no cell is [K]
  bool is_fixed = false; ///< the surface itself has that temperature

  /// Share of the heat radiated that is drawn from behind, for a given surface temperature.
  [[nodiscard]] double share_behind() const { return behind / (behind + front); }
};

} // namespace tiltfin
