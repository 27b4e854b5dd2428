#pragma once
// Small problems and tools that several solver tests share.

#include "mesh/tensor_mesh.hpp"
#include "solver/assembly.hpp"
#include "solver/equations.hpp"
#include "solver/fluxes.hpp"
#include "solver/linear.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numbers>
#include <random>
#include <vector>

namespace tiltfin::tests {

inline std::size_t at(int k) {
  return static_cast<std::size_t>(k);
}

constexpr double room = 300.0; ///< reference temperature of the tests' air [K]

/// Air in which a box of width 1 with sides 1 K apart has Ra = gravity / viscosity.
inline AirProperties round_air() {
  return {1.0, 1.0, 1.0, 0.71, 1.0, room};
}

/// Gravity of a tilted board that gives a box of width 1 and sides 1 K apart this Rayleigh number.
inline Condition tilted(double tilt_deg, double rayleigh, double power = 0.0) {
  const Vector3 down = tilted_orientation(tilt_deg).down;
  const double gravity = rayleigh * round_air().viscosity;
  return {gravity * down[0], gravity * down[1], power};
}

inline Side isothermal_side(double temperature) {
  return {SideKind::isothermal, temperature, 0.0};
}

inline Section empty_box(double width = 1.0, double height = 1.0) {
  Section section;
  section.width = width;
  section.height = height;
  for (Side& side : section.sides) {
    side.temperature = room;
  }
  return section;
}

/// Warm west, cold east, insulated south and north.
inline Section heated_box(double width = 1.0, double height = 1.0) {
  Section section = empty_box(width, height);
  section.sides[west] = isothermal_side(room + 0.5);
  section.sides[east] = isothermal_side(room - 0.5);
  return section;
}

inline Solid solid(const Rectangle& extent, double conductivity, double heat_share = 0.0) {
  Solid result;
  result.extent = extent;
  result.conductivity_x = conductivity;
  result.conductivity_y = conductivity;
  result.heat_share = heat_share;
  return result;
}

/// A base and a fin in imperfect contact, a block that stands free and is linked to the base, none
/// of them in a symmetric place.
inline Section furnished_box() {
  Section section = heated_box(1.0, 0.8);
  section.solids = {solid({0.2, 0.3, 0.15, 0.65}, 30.0, 0.7), solid({0.3, 0.5, 0.3, 0.4}, 8.0),
                    solid({0.62, 0.8, 0.45, 0.6}, 3.0, 0.3)};
  section.contacts = {{0, 1, 0.02}};
  section.links = {{"rod", 0, {0.2, 0.3, 0.5, 0.65}, 2, {0.62, 0.7, 0.45, 0.6}, 1.7}};
  return section;
}

/// A graded mesh of a few hundred cells.
inline TensorMesh rough_mesh(const Section& section, double wall_cell = 0.04) {
  Resolution resolution;
  resolution.cells_per_gap = 3;
  resolution.wall_cell = wall_cell;
  resolution.largest_cell = 2.0 * wall_cell;
  return make_mesh(section, resolution);
}

inline Problem rough_problem(const Section& section, const Condition& condition,
                             double wall_cell = 0.04) {
  return make_problem(section, rough_mesh(section, wall_cell), condition, round_air());
}

/// Faces from one smooth map: widths between 1 - strength and 1 + strength of the mean.
inline Axis graded_axis(double length, int n, double strength) {
  Axis axis;
  for (int i = 0; i <= n; ++i) {
    const double s = static_cast<double>(i) / n;
    const double bend = std::sin(2.0 * std::numbers::pi * s) / (2.0 * std::numbers::pi);
    axis.faces.push_back(length * (s - strength * bend));
  }
  axis.faces.back() = length;
  return axis;
}

/// The mesh of these axes; a cell belongs to the solid its centre lies in.
inline TensorMesh mesh_on(const Section& section, Axis x, Axis y) {
  TensorMesh mesh{std::move(x), std::move(y), {}};
  mesh.depth = depth_ratio(section);
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      int region = 0;
      for (std::size_t k = 0; k < section.solids.size(); ++k) {
        if (section.solids[k].extent.contains(mesh.x.centre(i), mesh.y.centre(j))) {
          region = static_cast<int>(k) + 1;
        }
      }
      mesh.region.push_back(region);
    }
  }
  return mesh;
}

/// Numbers between -1 and 1, the same on every machine.
class Random {
public:
  explicit Random(unsigned seed) : engine_(seed) {}
  double operator()() { return static_cast<double>(engine_()) / 2147483647.5 - 1.0; }

private:
  std::mt19937 engine_;
};

inline std::vector<double> random_vector(int n, unsigned seed) {
  Random random(seed);
  std::vector<double> result(at(n));
  for (double& value : result) {
    value = random();
  }
  return result;
}

inline double largest(const std::vector<double>& values) {
  double result = 0.0;
  for (const double value : values) {
    result = std::max(result, std::abs(value));
  }
  return result;
}

inline double largest_difference(const std::vector<double>& a, const std::vector<double>& b) {
  REQUIRE(a.size() == b.size());
  double result = 0.0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    result = std::max(result, std::abs(a[k] - b[k]));
  }
  return result;
}

inline std::vector<double> psi_rows(const Unknowns& unknowns, const std::vector<double>& f) {
  std::vector<double> rows;
  for (const int k : unknowns.psi) {
    rows.push_back(k < 0 ? 0.0 : f[at(k)]);
  }
  return rows;
}

inline std::vector<double> temperature_rows(const Unknowns& unknowns,
                                            const std::vector<double>& f) {
  std::vector<double> rows;
  for (const int k : unknowns.temperature) {
    rows.push_back(f[at(k)]);
  }
  return rows;
}

inline std::vector<double> rows_of(const std::vector<int>& unknowns, const std::vector<double>& f) {
  std::vector<double> rows;
  for (const int k : unknowns) {
    rows.push_back(f[at(k)]);
  }
  return rows;
}

inline std::vector<double> fin_rows(const Unknowns& unknowns, const std::vector<double>& f) {
  return rows_of(unknowns.fin_temperature, f);
}

inline std::vector<double> age_rows(const Unknowns& unknowns, const std::vector<double>& f) {
  return rows_of(unknowns.air_age, f);
}

/// Visits every momentum face that air can cross: its geometry, i, j and whether it is an x-face.
template <class Visit>
void for_each_momentum_face(const Problem& problem, const Unknowns& unknowns, Visit visit) {
  const auto crossable = [&](const MomentumFace& face) {
    const int a = unknowns.island[at(face.node[0])];
    return a < 0 || a != unknowns.island[at(face.node[1])];
  };
  for (int j = 0; j <= problem.mesh.y.n(); ++j) {
    for (int i = 0; i <= problem.mesh.x.n(); ++i) {
      if (j < problem.mesh.y.n()) {
        const MomentumFace face = momentum_face_x(problem, unknowns, i, j);
        if (crossable(face)) {
          visit(face, i, j, true);
        }
      }
      if (i < problem.mesh.x.n()) {
        const MomentumFace face = momentum_face_y(problem, unknowns, i, j);
        if (crossable(face)) {
          visit(face, i, j, false);
        }
      }
    }
  }
}

/// Rows of psi (by unknown, the others zero) for a line integral [Pa] given on every face:
/// its circulation round every node and every island.
template <class Integral>
std::vector<double> circulation(const Problem& problem, const Unknowns& unknowns,
                                Integral integral) {
  std::vector<double> rows(at(unknowns.n), 0.0);
  for_each_momentum_face(problem, unknowns, [&](const MomentumFace& face, int i, int j, bool is_x) {
    const double value = face.sign * integral(face, i, j, is_x);
    const int low = unknowns.psi[at(face.node[0])];
    const int high = unknowns.psi[at(face.node[1])];
    if (high >= 0) {
      rows[at(high)] += value;
    }
    if (low >= 0) {
      rows[at(low)] -= value;
    }
  });
  return rows;
}

/// Newton's method on F(z) = source (empty: zero) until the steps are rounding.
inline std::vector<double> newton(const Problem& problem, const Unknowns& unknowns,
                                  std::vector<double> z, const std::vector<double>& source = {}) {
  Jacobian jacobian = make_jacobian(problem, unknowns);
  LinearSolver solver(jacobian.matrix, std::vector<double>(at(unknowns.n), 1.0));
  double change = 1.0;
  for (int step = 0; step < 12 && change > 1e-13 * largest(z); ++step) {
    std::vector<double> f = refill(problem, unknowns, z, {}, jacobian);
    for (std::size_t k = 0; k < source.size(); ++k) {
      f[k] -= source[k];
    }
    REQUIRE(solver.factor(jacobian.matrix));
    const std::vector<double> dz = solver.solve(f);
    change = largest(dz);
    for (std::size_t k = 0; k < z.size(); ++k) {
      z[k] -= dz[k];
    }
  }
  REQUIRE(change <= 1e-10 * largest(z)); // quadratic convergence ends far below this
  return z;
}

/// A comb of five fins in a box of 100 mm with walls at one temperature, 20 W per metre: that of
/// cases/drawn-comb.toml without its radiation.
inline Section comb(double walls) {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  for (Side& side : section.sides) {
    side = isothermal_side(walls);
  }
  section.solids = {solid({0.026, 0.030, 0.038, 0.062}, 120.0, 1.0),
                    solid({0.030, 0.035, 0.018, 0.082}, 200.0)};
  for (int fin = 0; fin < 5; ++fin) {
    const double low = 0.018 + 0.015 * fin;
    section.solids.push_back(solid({0.035, 0.065, low, low + 0.004}, 200.0));
    section.solids.back().role = Role::fin;
  }
  section.base = 1;
  section.contacts = {{0, 1, 5e-5}};
  return section;
}

/// Heat that leaves through a side [W/m].
inline double heat_out(const Problem& problem, const State& state, SideName side) {
  const int nx = problem.mesh.x.n();
  const int ny = problem.mesh.y.n();
  double sum = 0.0;
  if (side == west || side == east) {
    for (int j = 0; j < ny; ++j) {
      sum += heat_through_x_face(problem, state, side == west ? 0 : nx, j);
    }
  } else {
    for (int i = 0; i < nx; ++i) {
      sum += heat_through_y_face(problem, state, i, side == south ? 0 : ny);
    }
  }
  return side == east || side == north ? sum : -sum;
}

/// `section` as a body of revolution, symmetric on its axis.
inline Section turned(Section section, double axis_distance) {
  section.axis_distance = axis_distance;
  section.depth = 2.0 * std::numbers::pi * (axis_distance + section.height);
  if (axis_distance == 0.0) {
    section.sides[south] = Side{SideKind::symmetry, room};
  }
  return section;
}

} // namespace tiltfin::tests
