#pragma once
// The physics page. Every term of the equations is written here, once, for any number type: with
// double it gives the residual, with Dual also the entries of the Jacobian.
//
// Signs: every term that depends on the unknowns stands on the left. The momentum of a face is the
// line integral of
//     rho (du/dt + u.grad u) - mu lap u + rho beta (T - T0) g      [Pa]
// between the two cell centres beside it. Summed with signs round a node it is the circulation of
// the momentum, in which every pressure cancels: that is the node's equation (solver/assembly).
//
// A face is seen along its normal ("before" and "after" it) and along its tangent ("below" and
// "above"). For x-faces the normal is x and the tangent y. For y-faces they swap, and psi changes
// sign, so that velocity is (psi_above - psi_below) / height for both.

#include "solver/dual.hpp"
#include "solver/radiation.hpp"
#include "solver/unknowns.hpp"

#include <array>
#include <cmath>
#include <vector>

namespace tiltfin {

/// How the air's tangential velocity meets the upper or lower end of a face's control volume.
enum class Edge {
  air,     ///< more air beyond
  no_slip, ///< the end node lies on a solid or a wall
  free     ///< symmetry or open side: no shear, the face's own velocity is carried
};

/// Geometry of one velocity face and the places of its ten local unknowns.
struct MomentumFace {
  /// psi at the face's lower and upper node, the same before, the same after, and one node below
  /// and above the face (global node numbers, -1: not there).
  std::array<int, 8> node{};
  std::array<int, 2> cell{}; ///< before, after; -1 outside an open side
  double sign = 1.0;         ///< psi seen along the face = sign * psi
  double height = 0.0;       ///< of the face [m]
  double below = 0.0;        ///< heights of the neighbouring faces, 0: not there [m]
  double above = 0.0;
  double before = 0.0; ///< widths of the cells along the normal, 0: not there [m]
  double after = 0.0;
  Edge lower = Edge::air;
  Edge upper = Edge::air;
  double calm_before = 1.0; ///< calm-room factors where the viscous fluxes live [-]
  double calm_after = 1.0;
  double calm_lower = 1.0;
  double calm_upper = 1.0;
  double gravity = 0.0; ///< component along the normal [m/s2]

  /// Length of the path between the two cell centres [m].
  [[nodiscard]] double path() const { return 0.5 * (before + after); }
};

/// Geometry of one heat face.
struct HeatFace {
  std::array<int, 2> node{}; ///< lower, upper (as in MomentumFace)
  std::array<int, 2> cell{}; ///< before, after; -1 outside
  double sign = 1.0;
  double conductance = 0.0;   ///< [W/(m K)]
  double weight_before = 0.5; ///< of the temperature before in the face value
  double outside = 0.0;       ///< temperature beyond a side [K]
  double calm = 1.0;          ///< calm-room factor in the conductance [-]
};

[[nodiscard]] MomentumFace momentum_face_x(const Problem& problem, const Unknowns& unknowns, int i,
                                           int j);
[[nodiscard]] MomentumFace momentum_face_y(const Problem& problem, const Unknowns& unknowns, int i,
                                           int j);
[[nodiscard]] HeatFace heat_face_x(const Problem& problem, int i, int j);
[[nodiscard]] HeatFace heat_face_y(const Problem& problem, int i, int j);

/// Heat flux through a face, conduction and convection (of the excess over the air's reference
/// temperature), positive along +x or +y [W/m]. Where a face radiates it is what would be conducted
/// without; radiation draws its heat from the cells on both sides in the ratio of their
/// conductances.
[[nodiscard]] double heat_through_x_face(const Problem& problem, const State& state, int i, int j);
[[nodiscard]] double heat_through_y_face(const Problem& problem, const State& state, int i, int j);

/// Net radiation that leaves each radiating face of the problem, in their order [W/m].
[[nodiscard]] std::vector<double> radiant_heat(const Problem& problem, const State& state);

/// Line integral of the momentum residual along a face's path without its time term [Pa].
[[nodiscard]] double momentum_of_x_face(const Problem& problem, const Unknowns& unknowns,
                                        const State& state, int i, int j);
[[nodiscard]] double momentum_of_y_face(const Problem& problem, const Unknowns& unknowns,
                                        const State& state, int i, int j);

/// Value carried through a face by `flow` from `before` to `after`: central (weighted by distance)
/// where the cell Peclet number is small, upwind where it is large, with a smooth passage: the
/// share of upwind is r^4 / (1 + r^4), r = peclet / blend_peclet. The Peclet number is that of the
/// air itself, without the calm room's factor: where the room is calmed, convection is upwind too.
template <class Number>
Number carried(const Number& flow, const Number& before, const Number& after, double weight_before,
               double peclet_per_flow, double blend_peclet) {
  const Number central = before * weight_before + after * (1.0 - weight_before);
  const Number ratio = flow * (peclet_per_flow / blend_peclet);
  const Number square = ratio * ratio;
  const Number fourth = square * square;
  const Number upwind_share = fourth / (1.0 + fourth);
  const Number& upwind = value_of(flow) >= 0.0 ? before : after;
  return central + upwind_share * (upwind - central);
}

/// Flux of tangentially carried momentum through the upper end of a control volume, divided by rho:
/// convection minus viscous stress [m3/s2 per metre]. `flow` is the volume flow out of that end.
template <class Number>
Number end_flux(const MomentumFace& face, bool upper, const Number& flow, const Number& here,
                const Number& beyond, double nu, double blend_peclet) {
  const Edge edge = upper ? face.upper : face.lower;
  const double calm_nu = nu * (upper ? face.calm_upper : face.calm_lower);
  const double path = face.path();
  if (edge == Edge::no_slip) {
    return here * (calm_nu * path / (0.5 * face.height));
  }
  if (edge == Edge::free) {
    return flow * here;
  }
  const double other = upper ? face.above : face.below;
  const double distance = 0.5 * (face.height + other);
  const Number value = carried(flow, here, beyond, other / (face.height + other),
                               distance / (path * nu), blend_peclet);
  return flow * value - (beyond - here) * (calm_nu * path / distance);
}

/// Buoyancy along a face's path [Pa] by the trapezoid rule: exact for a temperature linear in
/// space, so air at rest under a stratification along gravity stays at rest at any tilt.
template <class Number>
Number buoyancy(const MomentumFace& face, const AirProperties& air, const Number& before,
                const Number& after) {
  const bool has_before = face.before > 0.0;
  const bool has_after = face.after > 0.0;
  Number excess(0.0);
  if (has_before) {
    excess += (before - air.reference_temperature) * (has_after ? 0.5 : 1.0);
  }
  if (has_after) {
    excess += (after - air.reference_temperature) * (has_before ? 0.5 : 1.0);
  }
  return excess * (air.density * air.expansion * face.gravity * face.path());
}

/// Pressure of an open side [Pa]: outflow at ambient pressure, inflow at ambient total pressure.
template <class Number>
Number open_side_pressure(const MomentumFace& face, const AirProperties& air,
                          const Number& velocity) {
  const bool enters_after = face.after == 0.0 && value_of(velocity) < 0.0;
  const bool enters_before = face.before == 0.0 && value_of(velocity) > 0.0;
  if (enters_after) {
    return velocity * velocity * (-0.5 * air.density);
  }
  if (enters_before) {
    return velocity * velocity * (0.5 * air.density);
  }
  return Number(0.0);
}

/// Momentum of a face [Pa]: convection, viscous stress, buoyancy, and the pressure of an open side.
/// `z` holds psi at face.node (0 to 7) and the temperatures in face.cell (8, 9).
template <class Number>
Number face_momentum(const MomentumFace& face, const AirProperties& air, double blend_peclet,
                     const std::array<Number, 10>& z) {
  const double nu = air.kinematic_viscosity();
  const auto psi = [&](std::size_t k) { return z[k] * face.sign; };
  const bool has_before = face.before > 0.0;
  const bool has_after = face.after > 0.0;
  const Number flow = psi(1) - psi(0);
  const Number here = flow / face.height;

  // Through the cell centres before and after: these lie midway between two faces.
  Number momentum(0.0);
  const auto add_centre = [&](std::size_t low, double width, double calm, double direction) {
    const Number other_flow = psi(low + 1) - psi(low);
    const Number other = other_flow / face.height;
    const Number mean_flow = 0.5 * (flow + other_flow);
    const Number outward = mean_flow * direction;
    const Number value =
        carried(outward, here, other, 0.5, width / (face.height * nu), blend_peclet);
    momentum += outward * value - (other - here) * (nu * calm * face.height / width);
  };
  if (has_before) {
    add_centre(2, face.before, face.calm_before, -1.0);
  } else {
    momentum -= flow * here;
  }
  if (has_after) {
    add_centre(4, face.after, face.calm_after, 1.0);
  } else {
    momentum += flow * here;
  }

  // Through the lower and upper ends: half the flow of either cell beside the face.
  const auto end_flow = [&](std::size_t end) {
    Number flow_up(0.0);
    if (has_before) {
      flow_up -= 0.5 * (psi(end) - psi(2 + end));
    }
    if (has_after) {
      flow_up -= 0.5 * (psi(4 + end) - psi(end));
    }
    return flow_up;
  };
  if (face.lower == Edge::air) {
    const Number beyond = (psi(0) - psi(6)) / face.below;
    momentum += end_flux(face, false, -end_flow(0), here, beyond, nu, blend_peclet);
  } else {
    momentum += end_flux(face, false, -end_flow(0), here, here, nu, blend_peclet);
  }
  if (face.upper == Edge::air) {
    const Number beyond = (psi(7) - psi(1)) / face.above;
    momentum += end_flux(face, true, end_flow(1), here, beyond, nu, blend_peclet);
  } else {
    momentum += end_flux(face, true, end_flow(1), here, here, nu, blend_peclet);
  }
  momentum *= air.density / face.height;

  return momentum + buoyancy(face, air, z[8], z[9]) + open_side_pressure(face, air, here);
}

/// Temperature of a radiating face, in balance between conduction to both sides of it and
/// radiation: behind (T - T_behind) + front (T - T_air) + area emissivity (sigma T^4 - irradiation)
/// = 0. Newton steps on the numbers, which are monotone from the first on, then one on the
/// derivatives. `z`: the temperatures behind and in front [K], the irradiation [W/m2]; a
/// temperature that lies outside is not read.
template <class Number>
Number surface_temperature(const RadiantFace& face, const std::array<Number, 3>& z) {
  const bool has_behind = face.cell[0] >= 0;
  const Number behind = has_behind ? z[0] : Number(face.outside);
  if (face.is_fixed) {
    return behind;
  }
  const double emission = face.area * face.emissivity * stefan_boltzmann;
  const double conduction = face.behind + face.front;
  const Number given =
      behind * face.behind + z[1] * face.front + z[2] * (face.area * face.emissivity);
  const auto cube = [](double t) { return t * t * std::abs(t); }; // odd fourth power: monotone
  double t = value_of(given) / conduction;
  for (int k = 0; k < 50; ++k) {
    const double step = (conduction * t + emission * cube(t) * t - value_of(given)) /
                        (conduction + 4.0 * emission * cube(t));
    t -= step;
    if (std::abs(step) <= 1e-15 * std::abs(t)) {
      break;
    }
  }
  const double slope = conduction + 4.0 * emission * cube(t);
  return Number(t) - (conduction * t + emission * cube(t) * t - given) * (1.0 / slope);
}

/// Emissive power of a radiating face [W/m2]. `z` as in surface_temperature.
template <class Number>
Number emission(const RadiantFace& face, const std::array<Number, 3>& z) {
  const Number t = surface_temperature(face, z);
  const Number square = t * t;
  return square * square * (face.emissivity * stefan_boltzmann);
}

/// Heat flux through a face from before to after [W/m]. `z`: psi at face.node, then the two
/// temperatures; one that lies outside the section is not read.
template <class Number>
Number face_heat(const HeatFace& face, const AirProperties& air, double blend_peclet,
                 const std::array<Number, 4>& z) {
  const Number flow = (z[1] - z[0]) * face.sign;
  const bool has_before = face.cell[0] >= 0;
  const bool has_after = face.cell[1] >= 0;
  const Number before = has_before ? z[2] : Number(face.outside);
  const Number after = has_after ? z[3] : Number(face.outside);
  const double capacity = air.density * air.heat_capacity;
  Number value(0.0);
  if (has_before && has_after) {
    value = carried(flow, before, after, face.weight_before,
                    capacity * face.calm / face.conductance, blend_peclet);
  } else {
    value = value_of(flow) >= 0.0 ? before : after;
  }
  return capacity * flow * (value - air.reference_temperature) +
         face.conductance * (before - after);
}

} // namespace tiltfin
