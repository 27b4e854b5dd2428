#pragma once
// The faces of the grid as the equations see them (solver/equations.hpp): their geometry, the data
// of the problem that belong to them, and the places of their local unknowns.
//
// A face is seen along its normal ("before" and "after" it) and along its tangent ("below" and
// "above"). For x-faces the normal is x and the tangent y. For y-faces they swap, and psi changes
// sign, so that velocity is (psi_above - psi_below) / height for both.

#include "solver/unknowns.hpp"

#include <array>

namespace tiltfin {

/// How the air's tangential velocity meets the upper or lower end of a face's control volume.
enum class Edge {
  air,     ///< more air beyond
  no_slip, ///< the end node lies on a solid or a wall
  free     ///< symmetry or open side: no shear, the face's own velocity is carried
};

/// What the air meets on one half of a face's path: the cell before or the cell after it. In clear
/// air nothing is in its way.
struct PathHalf {
  double porosity = 1.0; ///< share of the gaps: velocity in them = superficial velocity / porosity
  double resistance = 0.0; ///< 12 / gap^2 [1/m2]
  double profile = 1.0;    ///< momentum factor of the velocity profile in a gap [-]
  double below = 1.0;      ///< porosity of the cells below and above
  double above = 1.0;

  friend bool operator==(const PathHalf&, const PathHalf&) = default;
};

/// The depth at a velocity face and at the surfaces of its control volume, over Section::depth.
struct FaceDepths {
  double own = 1.0;                     ///< of the face
  std::array<double, 2> centre{1., 1.}; ///< through the cell centres before and after
  std::array<double, 2> beside{1., 1.}; ///< of the next faces before and after
  std::array<double, 2> end{1., 1.};    ///< of the lower and upper ends
  std::array<double, 2> next{1., 1.};   ///< of the faces below and above
};

/// Geometry of one velocity face and the places of its ten local unknowns.
struct MomentumFace {
  /// psi at the face's lower and upper node, the same before, the same after, and one node below
  /// and above the face (global node numbers, -1: not there).
  std::array<int, 8> node{};
  std::array<int, 2> cell{}; ///< before, after; -1 outside an open side
  double sign = 1.0;         ///< psi seen along the face = sign * psi
  double height = 0.0;       ///< of the face [m]
  FaceDepths depth{};
  double below = 0.0; ///< heights of the neighbouring faces, 0: not there [m]
  double above = 0.0;
  double before = 0.0; ///< widths of the cells along the normal, 0: not there [m]
  double after = 0.0;
  Edge lower = Edge::air;
  Edge upper = Edge::air;
  double calm_before = 1.0; ///< calm-room factors where the viscous fluxes live [-]
  double calm_after = 1.0;
  double calm_lower = 1.0;
  double calm_upper = 1.0;
  double gravity = 0.0;           ///< component along the normal [m/s2]
  std::array<PathHalf, 2> half{}; ///< before, after
  GrilleLoss grille{};

  /// Of the face, per metre of Section::depth [m].
  [[nodiscard]] double area() const { return height * depth.own; }
  /// Length of the path between the two cell centres [m].
  [[nodiscard]] double path() const { return 0.5 * (before + after); }
};

/// The flows that the local unknowns of a face stand for: its own, and half the flow that leaves
/// either cell beside it through an end, all along +normal and +tangent. `z`: psi at face.node (0
/// to 7) and the temperatures in face.cell (8, 9), of any number type.
template <class Number>
struct FaceFlows {
  const MomentumFace& face;
  const std::array<Number, 10>& z;

  [[nodiscard]] Number psi(std::size_t k) const { return z[k] * face.sign; }
  [[nodiscard]] Number through() const { return psi(1) - psi(0); }
  /// Of the face before (side 0) or after (1).
  [[nodiscard]] Number beside(std::size_t side) const {
    const std::size_t low = side == 0 ? 2 : 4;
    return psi(low + 1) - psi(low);
  }
  /// Upwards through the lower (0) or upper (1) end of the cell before or after; none where there
  /// is no cell.
  [[nodiscard]] Number up(std::size_t end, std::size_t side) const {
    if ((side == 0 ? face.before : face.after) <= 0.0) {
      return Number(0.0);
    }
    return side == 0 ? (psi(2 + end) - psi(end)) * 0.5 : (psi(end) - psi(4 + end)) * 0.5;
  }
};

/// Geometry of one heat face.
struct HeatFace {
  std::array<int, 2> node{}; ///< lower, upper (as in MomentumFace)
  std::array<int, 2> cell{}; ///< before, after; -1 outside
  double sign = 1.0;
  double conductance = 0.0;          ///< [W/(m K)]
  double weight_before = 0.5;        ///< of the temperature before in the face value
  double outside = 0.0;              ///< temperature beyond a side [K]
  double calm = 1.0;                 ///< calm-room factor in the conductance [-]
  std::array<int, 2> medium{-1, -1}; ///< before, after: index into Problem::media, -1: none
  double fin_conductance = 0.0;      ///< between the fins before and after, or what is there
                                     ///< instead of fins: solid, clear air, outside [W/(m K)]
  double age_conductance = 0.0;      ///< of the air's age by diffusion [m2/s]
};

/// The x-face between the cells (i - 1, j) and (i, j), the y-face between (i, j - 1) and (i, j).
[[nodiscard]] MomentumFace momentum_face_x(const Problem& problem, const Unknowns& unknowns, int i,
                                           int j);
[[nodiscard]] MomentumFace momentum_face_y(const Problem& problem, const Unknowns& unknowns, int i,
                                           int j);
[[nodiscard]] HeatFace heat_face_x(const Problem& problem, int i, int j);
[[nodiscard]] HeatFace heat_face_y(const Problem& problem, int i, int j);

} // namespace tiltfin
