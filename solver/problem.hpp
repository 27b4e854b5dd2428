#pragma once
// Everything the equations read: plain data in SI units, constant during a solve.

#include "mesh/section.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/air.hpp"
#include "solver/condition.hpp"
#include "solver/radiation.hpp"

#include <array>
#include <memory>
#include <vector>

namespace tiltfin {

/// The calm room: outside the machine's outline the air's viscosity and conductivity grow smoothly,
/// so that the free plume far above the machine is steady. It never reaches inside the outline.
struct CalmRoom {
  double factor = 10.0; ///< growth far outside; 1 switches the calm room off [-]
  double start = 0.015; ///< distance from the outline where it begins [m]
  double width = 0.100; ///< distance over which it grows [m]
};

/// Heat transfer between a patch of cells and another through a link.
struct LinkCells {
  std::vector<int> cells_a;
  std::vector<double> weights_a; ///< share of each cell in the patch, adds up to 1
  std::vector<int> cells_b;
  std::vector<double> weights_b;
  double conductance = 0.0; ///< [W/(K m)]
};

/// A cell that fin metal and the air of the gaps share.
struct MediumCell {
  int cell = 0;
  int medium = 0;          ///< number in the section's media
  double porosity = 1.0;   ///< share of the gaps [-]
  double gap = 0.0;        ///< clear air between two fins [m]
  double resistance = 0.0; ///< 12 / gap^2: parabolic flow between the fins [1/m2]
  double profile = 1.0;    ///< momentum factor of the velocity profile in a gap [-]
  double wetted = 0.0;     ///< surface of the fins per metre of depth [m]
  double volume = 0.0;     ///< of the cell, per metre of depth [m2]
};

/// Loss of a perforated sheet on a face; no sheet where both are zero.
struct GrilleLoss {
  double linear = 0.0;    ///< [1/m]
  double quadratic = 0.0; ///< [-]
};

struct Problem {
  TensorMesh mesh;
  AirProperties air;
  double gravity_x = 0.0; ///< [m/s2]
  double gravity_y = 0.0; ///< [m/s2]
  std::array<Side, 4> sides;
  std::vector<double> conductance_x; ///< per face (i = 0..nx, j), x fastest: heat flow per kelvin
                                     ///< between the two temperatures beside it [W/(m K)]
  std::vector<double> conductance_y; ///< per face (i, j = 0..ny)
  std::vector<double> heat;          ///< released per cell and metre of depth, in the metal where
                                     ///< the cell lies in a medium [W/m]
  std::vector<double> calm_cell;     ///< calm-room factor per cell [-]
  std::vector<double> calm_node;     ///< calm-room factor per node [-]
  std::vector<LinkCells> links;
  std::vector<MediumCell> media;         ///< in the order of their cells
  std::vector<int> medium_cell;          ///< per cell: index into media, or -1
  std::vector<double> fin_conductance_x; ///< per face as above, of the fins' metal, to solids and
                                         ///< clear air too; empty without media [W/(m K)]
  std::vector<double> fin_conductance_y;
  std::vector<GrilleLoss> grille_x; ///< per face; empty without grilles
  std::vector<GrilleLoss> grille_y;
  std::shared_ptr<const RadiantZones> radiation; ///< never null; without zones nothing radiates
  std::vector<RadiantFace> radiant_faces;        ///< of surfaces that emit
  double blend_peclet = 20.0; ///< cell Peclet number at which momentum is carried half upwind [-]
  double heat_peclet = 20.0;  ///< the same of heat [-]
  /// Of metal per cell, in true time; empty: that of air, which leaves steady states and means over
  /// time what they are and lets metal follow the air [J/(m3 K)].
  std::vector<double> metal_capacity;

  [[nodiscard]] int face_x(int i, int j) const { return j * (mesh.x.n() + 1) + i; }
  [[nodiscard]] int face_y(int i, int j) const { return j * mesh.x.n() + i; }
};

/// Throws std::invalid_argument for a body of revolution with gravity across its axis: see
/// can_answer. `zones`: those of the same section and mesh when they are at hand, for they take
/// longer than the rest; null: they are made.
[[nodiscard]] Problem make_problem(const Section& section, const TensorMesh& mesh,
                                   const Condition& condition, const AirProperties& air,
                                   const CalmRoom& calm = {},
                                   std::shared_ptr<const RadiantZones> zones = nullptr);

/// Sets Problem::metal_capacity by what a solid is for: walls as steel, boards as epoxy laminate,
/// all else and fins as aluminium (handbook values, from memory).
void set_metal_capacity(const Section& section, Problem& problem);

} // namespace tiltfin
