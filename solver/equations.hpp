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
// In a body of revolution (Section::axis_distance) y is the distance r from the axis but for a
// constant, flows are those through faces of the depth 2 pi r, and a control volume has that depth
// too; the path of the integral has none. The Laplacian along r is d/dr ((1/r) d(r v)/dr) +
// d2v/dx2: its first part, whose integral along r needs values at the cell centres alone, holds the
// hoop stress -v / r^2 and stays finite on the axis, where v is zero.
//
// Faces and the places of their unknowns are those of solver/faces.hpp, seen along normal and
// tangent.

#include "solver/dual.hpp"
#include "solver/faces.hpp"
#include "solver/radiation.hpp"

#include <array>
#include <cmath>

namespace tiltfin {

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

/// Momentum that leaves a control volume, divided by rho [m3/s2 per metre].
template <class Number>
struct MomentumFlux {
  Number carried = Number(0.0);
  Number stress = Number(0.0); ///< viscous
};

/// The air at the lower or upper end of a control volume.
template <class Number>
struct EndAir {
  Number flow;   ///< volume flow out of the end
  Number part;   ///< that of one half of the control volume
  Number here;   ///< tangential velocity, in the gaps
  Number beyond; ///< that of the neighbour
};

/// Tangential momentum that leaves through the lower or upper end of the half of a control volume
/// that is `path` long.
template <class Number>
MomentumFlux<Number> end_flux(const MomentumFace& face, bool upper, double path,
                              const EndAir<Number>& air, double nu, double blend_peclet) {
  const auto& [flow, part, here, beyond] = air;
  const Edge edge = upper ? face.upper : face.lower;
  const double depth = face.depth.end[upper ? 1 : 0];
  const double calm_nu = nu * (upper ? face.calm_upper : face.calm_lower) * depth;
  if (edge == Edge::no_slip) {
    return {Number(0.0), here * (calm_nu * path / (0.5 * face.height))};
  }
  if (edge == Edge::free) {
    return {part * here, Number(0.0)};
  }
  const double other = upper ? face.above : face.below;
  const double distance = 0.5 * (face.height + other);
  const Number value = carried(flow, here, beyond, other / (face.height + other),
                               distance / (face.path() * nu * depth), blend_peclet);
  return {part * value, (here - beyond) * (calm_nu * path / distance)};
}

/// What leaves through the cell centre before or after a face, midway between two faces.
template <class Number>
MomentumFlux<Number> centre_flux(const FaceFlows<Number>& flows, std::size_t side, double nu,
                                 double blend_peclet) {
  const MomentumFace& face = flows.face;
  const double width = side == 0 ? face.before : face.after;
  const double calm_nu = nu * (side == 0 ? face.calm_before : face.calm_after);
  const double own_depth = face.depth.own;
  const double centre_depth = face.depth.centre[side];
  const double beside_depth = face.depth.beside[side]; // 0 on the axis, through which nothing flows
  const double to_gap = 1.0 / (face.half[side].porosity * face.height);
  const Number here = flows.through() * (to_gap / own_depth);
  const Number other = flows.beside(side) * (beside_depth > 0.0 ? to_gap / beside_depth : 0.0);
  const Number outward = (flows.through() + flows.beside(side)) * (side == 0 ? -0.5 : 0.5);
  const Number value =
      carried(outward, here, other, 0.5, width / (face.height * centre_depth * nu), blend_peclet);
  const Number difference = here - other * (beside_depth / own_depth); // of depth times velocity
  return {outward * value,
          difference * (calm_nu * face.area() / width * (own_depth / centre_depth))};
}

/// What leaves through both ends of a part of the control volume that is `path` long: of the sides
/// that take part, both or one.
template <class Number>
MomentumFlux<Number> ends_flux(const FaceFlows<Number>& flows, const PathHalf& half, double path,
                               const std::array<bool, 2>& takes_part, double nu,
                               double blend_peclet) {
  const MomentumFace& face = flows.face;
  const Number here = flows.through() * (1.0 / (half.porosity * face.area()));
  MomentumFlux<Number> sum;
  for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
    const bool upper = end == 1;
    const Number before = flows.up(end, 0) * (upper ? 1.0 : -1.0);
    const Number after = flows.up(end, 1) * (upper ? 1.0 : -1.0);
    const Number total = before + after;
    const Number& part = takes_part[0] ? (takes_part[1] ? total : before) : after;
    Number beyond = here;
    if ((upper ? face.upper : face.lower) == Edge::air) {
      beyond = upper ? (flows.psi(7) - flows.psi(1)) *
                           (1.0 / (half.above * face.above * face.depth.next[1]))
                     : (flows.psi(0) - flows.psi(6)) *
                           (1.0 / (half.below * face.below * face.depth.next[0]));
    }
    const MomentumFlux<Number> flux =
        end_flux<Number>(face, upper, path, {total, part, here, beyond}, nu, blend_peclet);
    sum.carried += flux.carried;
    sum.stress += flux.stress;
  }
  return sum;
}

/// Momentum along a part of a face's path that is `path` long and of one kind [Pa], from what
/// leaves its control volume. In a fin medium, per volume of the gaps, with u = superficial
/// velocity / porosity, it is rho profile u.grad u - mu lap u + 12 mu u / gap^2.
template <class Number>
Number path_momentum(const MomentumFace& face, const PathHalf& half, double path,
                     const AirProperties& air, const MomentumFlux<Number>& leaving,
                     const Number& flow) {
  Number momentum = (leaving.carried * (half.profile / half.porosity) + leaving.stress) *
                    (air.density / face.area());
  if (half.resistance > 0.0) {
    momentum += flow * (air.viscosity * half.resistance * path / (half.porosity * face.area()));
  }
  return momentum;
}

/// Momentum along both halves of a face's path [Pa], buoyancy and what happens on the face apart.
template <class Number>
Number momentum_along(const MomentumFace& face, const AirProperties& air, double blend_peclet,
                      const std::array<Number, 10>& z) {
  const double nu = air.kinematic_viscosity();
  const FaceFlows<Number> flows{face, z};
  const Number flow = flows.through();
  const auto add = [](MomentumFlux<Number>& sum, const MomentumFlux<Number>& flux) {
    sum.carried += flux.carried;
    sum.stress += flux.stress;
  };
  if (face.before > 0.0 && face.after > 0.0 && face.half[0] == face.half[1]) {
    MomentumFlux<Number> leaving =
        ends_flux(flows, face.half[0], face.path(), {true, true}, nu, blend_peclet);
    add(leaving, centre_flux(flows, 0, nu, blend_peclet));
    add(leaving, centre_flux(flows, 1, nu, blend_peclet));
    return path_momentum(face, face.half[0], face.path(), air, leaving, flow);
  }
  Number momentum(0.0);
  for (const std::size_t side : {std::size_t{0}, std::size_t{1}}) {
    const PathHalf& half = face.half[side];
    const double path = 0.5 * (side == 0 ? face.before : face.after);
    if (path <= 0.0) {
      continue;
    }
    MomentumFlux<Number> leaving =
        ends_flux(flows, half, path, {side == 0, side == 1}, nu, blend_peclet);
    add(leaving, centre_flux(flows, side, nu, blend_peclet));
    // Through the face itself, which ends the half.
    const double outward = side == 0 ? 1.0 : -1.0;
    leaving.carried += flow * flow * (outward / (half.porosity * face.area()));
    momentum += path_momentum(face, half, path, air, leaving, flow);
  }
  return momentum;
}

/// Momentum of air that changes its velocity on a face because the share of the gaps changes there
/// [Pa]: it speeds up without loss and slows down with the loss of a sudden widening.
template <class Number>
Number porosity_jump(const MomentumFace& face, const AirProperties& air, const Number& velocity) {
  const double before = 1.0 / face.half[0].porosity;
  const double after = 1.0 / face.half[1].porosity;
  if (before == after) {
    return Number(0.0);
  }
  const bool widens = value_of(velocity) * (before - after) > 0.0;
  const double ahead = value_of(velocity) > 0.0 ? 1.0 : -1.0;
  const double loss = widens ? ahead * (before - after) * (before - after) : 0.0;
  return velocity * velocity * (0.5 * air.density * (after * after - before * before + loss));
}

/// Speed below which the loss of a grille passes smoothly through zero [m/s].
inline constexpr double still_air = 1e-3;

/// Loss of a perforated sheet on a face [Pa].
template <class Number>
Number grille_loss(const GrilleLoss& loss, const AirProperties& air, const Number& velocity) {
  using std::sqrt;
  const Number speed = sqrt(velocity * velocity + still_air * still_air);
  return velocity * (speed * (0.5 * air.density * loss.quadratic) + air.viscosity * loss.linear);
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

/// Momentum of a face [Pa]: convection, viscous stress, drag of fins, buoyancy, the pressure of an
/// open side and the losses on the face.
/// `z` holds psi at face.node (0 to 7) and the temperatures in face.cell (8, 9).
template <class Number>
Number face_momentum(const MomentumFace& face, const AirProperties& air, double blend_peclet,
                     const std::array<Number, 10>& z) {
  const Number velocity = (z[1] - z[0]) * (face.sign / face.area());
  Number momentum = buoyancy(face, air, z[8], z[9]);
  momentum += momentum_along(face, air, blend_peclet, z);
  if (face.before > 0.0 && face.after > 0.0) {
    momentum += porosity_jump(face, air, velocity);
  } else {
    const double porosity = face.half[face.before > 0.0 ? 0 : 1].porosity;
    momentum += open_side_pressure(face, air, velocity * (1.0 / porosity));
  }
  if (face.grille.linear > 0.0 || face.grille.quadratic > 0.0) {
    momentum += grille_loss(face.grille, air, velocity);
  }
  return momentum;
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
Number face_heat(const HeatFace& face, const AirProperties& air, double heat_peclet,
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
                    capacity * face.calm / face.conductance, heat_peclet);
  } else {
    value = value_of(flow) >= 0.0 ? before : after;
  }
  return capacity * flow * (value - air.reference_temperature) +
         face.conductance * (before - after);
}

/// Heat that flows through the metal of the fins across a face, from before to after [W/m].
template <class Number>
Number fin_conduction(const HeatFace& face, const Number& before, const Number& after) {
  return (before - after) * face.fin_conductance;
}

/// Local Nusselt number on twice the gap of air that has been between isothermal walls for the time
/// age, development = alpha age / (4 gap^2): Leveque's 1.233 development^(-1/3) passing to the
/// 7.541 of developed flow. Their fifth powers add up: chosen for the local values of the Graetz
/// series, which it meets within 2.5 % (tests/solver/test_medium). Bounded where age vanishes.
template <class Number>
Number gap_nusselt(const Number& development) {
  using std::pow;
  using std::sqrt;
  constexpr double developed = 7.541;
  constexpr double leveque = 1.233;
  constexpr double youngest = 1e-4; // Nu 33: younger air is not resolved
  const Number positive =
      (development + sqrt(development * development + youngest * youngest)) * 0.5;
  const Number entrance = pow(positive, -5.0 / 3.0) * std::pow(leveque / developed, 5.0);
  return pow(entrance + 1.0, 0.2) * developed;
}

/// Age at which air counts as developed and ages no further [s].
inline double developed_age(const MediumCell& cell, const AirProperties& air) {
  return 4.0 * cell.gap * cell.gap / air.diffusivity();
}

/// Heat that the fins of a cell give to the air in their gaps [W/m].
template <class Number>
Number fin_exchange(const MediumCell& cell, const AirProperties& air, const Number& gap_air,
                    const Number& fins, const Number& age) {
  const Number nusselt = gap_nusselt(age * (1.0 / developed_age(cell, air)));
  return nusselt * (fins - gap_air) * (cell.wetted * air.conductivity / (2.0 * cell.gap));
}

/// Age that a cell's air gathers, up to that of developed flow [m2].
template <class Number>
Number ageing(const MediumCell& cell, const AirProperties& air, const Number& age) {
  return (1.0 - age * (1.0 / developed_age(cell, air))) * (cell.porosity * cell.volume);
}

/// Age that crosses a face from before to after, carried and by diffusion [m2]. Air that comes from
/// outside the fins has none. `z`: psi at face.node, then the two ages.
template <class Number>
Number face_age(const HeatFace& face, const AirProperties& air, double blend_peclet,
                const std::array<Number, 4>& z) {
  const Number flow = (z[1] - z[0]) * face.sign;
  const Number before = face.medium[0] >= 0 ? z[2] : Number(0.0);
  const Number after = face.medium[1] >= 0 ? z[3] : Number(0.0);
  Number value(0.0);
  if (face.medium[0] >= 0 && face.medium[1] >= 0) {
    const double capacity = air.density * air.heat_capacity;
    value = carried(flow, before, after, face.weight_before,
                    capacity * face.calm / face.conductance, blend_peclet);
  } else {
    value = value_of(flow) >= 0.0 ? before : after;
  }
  return flow * value + (before - after) * face.age_conductance;
}

} // namespace tiltfin
