#pragma once
// Small states made by hand that several tests of post/ share.

#include "post/numbers/outcome.hpp"
#include "solver/problem.hpp"
#include "solver/unknowns.hpp"
#include "tests/catch.hpp"

#include <functional>
#include <string>
#include <utility>
#include <vector>

namespace tiltfin::tests {

/// Air of round numbers: rho cp = 2 J/(m3 K), conductivity 0.5 W/(m K), buoyancy zero at 300 K.
inline AirProperties hand_air() {
  AirProperties air;
  air.density = 2.0;
  air.heat_capacity = 1.0;
  air.conductivity = 0.5;
  air.viscosity = 1.0;
  air.expansion = 0.01;
  air.reference_temperature = 300.0;
  return air;
}

inline Axis axis_of(std::vector<double> faces) {
  Axis axis;
  axis.faces = std::move(faces);
  return axis;
}

inline Axis even_axis(double length, int n) {
  Axis axis;
  for (int k = 0; k <= n; ++k) {
    axis.faces.push_back(length * k / n);
  }
  return axis;
}

/// The mesh of these axes; a cell belongs to the solid that its centre lies in.
inline TensorMesh mesh_of(const Section& section, Axis x, Axis y) {
  TensorMesh mesh;
  mesh.x = std::move(x);
  mesh.y = std::move(y);
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      int region = 0;
      for (int k = 0; k < static_cast<int>(section.solids.size()); ++k) {
        if (section.solids[k].extent.contains(mesh.x.centre(i), mesh.y.centre(j))) {
          region = k + 1;
        }
      }
      mesh.region.push_back(region);
    }
  }
  return mesh;
}

inline Solid solid_of(const std::string& name, const Rectangle& extent, Role role,
                      double conductivity = 100.0) {
  Solid solid;
  solid.name = name;
  solid.extent = extent;
  solid.conductivity_x = conductivity;
  solid.conductivity_y = conductivity;
  solid.role = role;
  return solid;
}

using Field = std::function<double(double x, double y)>;

/// psi on nodes and temperature in cells from functions of the place.
inline State state_of(const TensorMesh& mesh, const Field& psi, const Field& temperature) {
  State state;
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      state.psi.push_back(psi(mesh.x.at(i), mesh.y.at(j)));
    }
  }
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      state.temperature.push_back(temperature(mesh.x.centre(i), mesh.y.centre(j)));
    }
  }
  return state;
}

/// A function that has the same value everywhere.
inline Field constant(double value) {
  return [value](double, double) { return value; };
}

/// Two fins on a base in a box of 80 by 60 mm; the base is reported, the far fin is the hot one.
inline Section small_cooler() {
  Section section;
  section.width = 0.08;
  section.height = 0.06;
  section.depth = 0.05;
  section.solids = {solid_of("base", {0.01, 0.02, 0.01, 0.05}, Role::base),
                    solid_of("fin-1", {0.03, 0.035, 0.01, 0.05}, Role::fin),
                    solid_of("fin-2", {0.06, 0.065, 0.01, 0.05}, Role::fin)};
  section.solids[0].heat_share = 1.0;
  section.base = 0;
  return section;
}

/// Still air round the small cooler, warmer towards +x; gravity as given [m/s2].
inline Solution small_solution(double gravity_x, double gravity_y, double base_rise = 40.0) {
  const Section section = small_cooler();
  const TensorMesh mesh = mesh_of(section, even_axis(0.08, 32), even_axis(0.06, 24));
  const Condition condition{gravity_x, gravity_y, 10.0};
  Solution solution;
  solution.problem = make_problem(section, mesh, condition, hand_air());
  solution.state = state_of(mesh, constant(0.0), [&](double x, double y) {
    return section.solids[0].extent.contains(x, y) ? 298.15 + base_rise : 300.0 + 100.0 * x;
  });
  solution.report.status = SolveStatus::converged;
  solution.film_temperature = 310.0;
  return solution;
}

} // namespace tiltfin::tests
