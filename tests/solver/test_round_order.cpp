// Order of accuracy of a body of revolution by a manufactured solution, as test_order.cpp of a
// plane box.
#include "tests/solver/fixtures.hpp"
#include "tests/solver/manufactured.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A closed drum of radius 1 and length 1 about the axis: r u = dPsi/dr, r v = -dPsi/dx with
/// Psi = size f(x) s (1 - s)^2 (1 + 0.4 s), s = r^2, zero with its gradient on all walls; the
/// temperature is isothermal at both ends, flat on the axis and at the wall.
struct Drum {
  double size = 100.0; // speeds up to 15 diffusivities over the radius, as in test_order's box
  double swing = 1.2;
  Family f{0.0, 0.0, 1.0, -1.3, -0.4, 0.7};               // x^2 (1 - x)^2 (1 + 0.7 x)
  Family axial{2.0, 0.0, -6.4, 0.0, 1.2, 0.0, 3.2};       // Psi_r / r
  Family radial{0.0, 1.0, 0.0, -1.6, 0.0, 0.2, 0.0, 0.4}; // Psi / r
  Family stream{0.0, 0.0, 1.0, 0.0, -1.6, 0.0, 0.2, 0.0, 0.4};
  Family p{0.0, 1.0, -0.6, -0.4};
  Family q{0.3, 0.0, 2.0, 0.0, -1.0};

  [[nodiscard]] double psi(double x, double r) const { return size * f(0, x) * stream(0, r); }
  [[nodiscard]] double u(double x, double r) const { return size * f(0, x) * axial(0, r); }
  [[nodiscard]] double v(double x, double r) const { return -size * f(1, x) * radial(0, r); }
  [[nodiscard]] double temperature(double x, double r) const {
    return room + 0.5 - x + swing * p(0, x) * q(0, r);
  }
  [[nodiscard]] double temperature_x(double x, double r) const {
    return -1.0 + swing * p(1, x) * q(0, r);
  }
  [[nodiscard]] double temperature_r(double x, double r) const { return swing * p(0, x) * q(1, r); }

  /// u.grad u - mu (lap u) along x and r, with density 1; along r the Laplacian has -v / r^2.
  [[nodiscard]] double momentum_x(double x, double r, double mu) const {
    const double convection =
        u(x, r) * size * f(1, x) * axial(0, r) + v(x, r) * size * f(0, x) * axial(1, r);
    return convection -
           mu * size * (f(2, x) * axial(0, r) + f(0, x) * (axial(2, r) + axial(1, r) / r));
  }
  [[nodiscard]] double momentum_r(double x, double r, double mu) const {
    const double convection =
        -u(x, r) * size * f(2, x) * radial(0, r) - v(x, r) * size * f(1, x) * radial(1, r);
    return convection + mu * size *
                            (f(3, x) * radial(0, r) +
                             f(1, x) * (radial(2, r) + radial(1, r) / r - radial(0, r) / (r * r)));
  }
};

std::vector<double> drum_source(const Problem& problem, const Unknowns& unknowns,
                                const Drum& drum) {
  const Axis& ax = problem.mesh.x;
  const Axis& ar = problem.mesh.y;
  const AirProperties& air = problem.air;
  std::vector<double> source =
      circulation(problem, unknowns, [&](const MomentumFace&, int i, int j, bool is_x) {
        const auto along_x = [&](double x) {
          const double r = ar.centre(j);
          return drum.momentum_x(x, r, air.viscosity) +
                 problem.gravity_x * (drum.temperature(x, r) - air.reference_temperature);
        };
        const auto along_r = [&](double r) {
          return drum.momentum_r(ax.centre(i), r, air.viscosity);
        };
        return is_x ? integrate(ax.centre(i - 1), ax.centre(i), along_x)
                    : integrate(ar.centre(j - 1), ar.centre(j), along_r);
      });
  const auto flux = [&](double velocity, double temperature, double slope) {
    return velocity * (temperature - air.reference_temperature) - air.conductivity * slope;
  };
  const double turn = problem.mesh.depth.growth; // 2 pi over the section's depth
  const auto through_x = [&](int i, int j) {
    const double x = ax.at(i);
    return turn * integrate(ar.at(j), ar.at(j + 1), [&](double r) {
             return r * flux(drum.u(x, r), drum.temperature(x, r), drum.temperature_x(x, r));
           });
  };
  const auto through_r = [&](int i, int j) {
    const double r = ar.at(j);
    return turn * r * integrate(ax.at(i), ax.at(i + 1), [&](double x) {
             return flux(drum.v(x, r), drum.temperature(x, r), drum.temperature_r(x, r));
           });
  };
  for (int j = 0; j < ar.n(); ++j) {
    for (int i = 0; i < ax.n(); ++i) {
      source[at(unknowns.temperature[at(problem.mesh.cell(i, j))])] =
          through_x(i + 1, j) - through_x(i, j) + through_r(i, j + 1) - through_r(i, j);
    }
  }
  return source;
}

struct DrumErrors {
  double psi = 0.0;         ///< largest
  double velocity = 0.0;    ///< root of the mean square over the volume
  double temperature = 0.0; ///< largest
};

DrumErrors drum_errors(int n, double strength) {
  const Drum drum;
  Section section = turned(heated_box(), 0.0);
  const TensorMesh mesh =
      mesh_on(section, graded_axis(1.0, n, strength), graded_axis(1.0, n, -0.5 * strength));
  const Problem problem = make_problem(section, mesh, tilted(90.0, 1e4), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  State exact = rest_state(problem, room);
  const double turn = mesh.depth.growth;
  for (int j = 0; j <= n; ++j) {
    for (int i = 0; i <= n; ++i) {
      exact.psi[at(mesh.node(i, j))] = turn * drum.psi(mesh.x.at(i), mesh.y.at(j));
      if (i < n && j < n) {
        exact.temperature[at(mesh.cell(i, j))] =
            drum.temperature(mesh.x.centre(i), mesh.y.centre(j));
      }
    }
  }
  const State found = unpack(unknowns, newton(problem, unknowns, pack(unknowns, exact),
                                              drum_source(problem, unknowns, drum)));
  DrumErrors errors;
  errors.psi = largest_difference(found.psi, exact.psi) / turn;
  errors.temperature = largest_difference(found.temperature, exact.temperature);
  const std::vector<double> u = velocity_x(mesh, found);
  const std::vector<double> v = velocity_y(mesh, found);
  double sum = 0.0;
  double volume = 0.0;
  for (int j = 0; j < n; ++j) {
    for (int i = 0; i < n; ++i) {
      const double du = u[at(problem.face_x(i, j))] - drum.u(mesh.x.at(i), mesh.y.centre(j));
      const double dv = v[at(problem.face_y(i, j))] - drum.v(mesh.x.centre(i), mesh.y.at(j));
      sum += (du * du + dv * dv) * mesh.volume(i, j);
      volume += mesh.volume(i, j);
    }
  }
  errors.velocity = std::sqrt(sum / volume);
  return errors;
}

} // namespace

TEST_CASE("Round: flow and temperature in a drum are second-order accurate on graded meshes",
          "[round][order]") {
  for (const double strength : {0.0, 0.5}) {
    const DrumErrors coarse = drum_errors(32, strength);
    const DrumErrors fine = drum_errors(64, strength);
    const auto order = [](double a, double b) { return std::log2(a / b); };
    CAPTURE(strength, coarse.psi, coarse.velocity, coarse.temperature);
    CAPTURE(order(coarse.psi, fine.psi), order(coarse.velocity, fine.velocity),
            order(coarse.temperature, fine.temperature));
    // Second order less what the next order bends it on 32 cells, as in a plane box (test_order).
    CHECK(order(coarse.psi, fine.psi) >= 1.9);
    CHECK(order(coarse.velocity, fine.velocity) >= 1.9);
    CHECK(order(coarse.temperature, fine.temperature) >= 1.9);
    CHECK(coarse.psi < 0.1);
    CHECK(coarse.psi > 1e-6);
    CHECK(coarse.temperature < 0.1);
    CHECK(coarse.temperature > 1e-6);
  }
}
